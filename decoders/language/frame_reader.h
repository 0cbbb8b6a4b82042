// Reads one frame with its signals, series, pages, counter and checksum.
#pragma once

#include "decoders/authoring/yaml_source.h"
#include "decoders/language/draft.h"

namespace proofdrive::decoders {

// Adds the frame and its signals to the draft. Buses of all files must have been read.
void ReadFrame(const YamlNode& node, Draft& draft);

// The bus named by `bus`, checked; empty when the key is missing.
class MappingReader;
std::string ReadBusName(const MappingReader& reader, Draft& draft);

}  // namespace proofdrive::decoders
