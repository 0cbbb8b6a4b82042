// Reads the sections of a definition file other than frames.
#pragma once

#include "decoders/language/draft.h"
#include "decoders/language/mapping_reader.h"

namespace proofdrive::decoders {

// `file` reads the top of one file. Call them section by section over all files, in this order, so
// that a file may use what another one defines.
void ReadVehicle(const MappingReader& file, Draft& draft);
void ReadBuses(const MappingReader& file, Draft& draft);
void ReadControlUnits(const MappingReader& file, Draft& draft);
void ReadFrames(const MappingReader& file, Draft& draft);
void ReadReadings(const MappingReader& file, Draft& draft);
void ReadComputed(const MappingReader& file, Draft& draft);
void ReadWarnings(const MappingReader& file, Draft& draft);

// Checks what ReadComputed and ReadWarnings had to put off until all signals are known.
void CheckFormulas(Draft& draft);

}  // namespace proofdrive::decoders
