// Reads `facts`: what is known of the vehicle that no frame says.
#pragma once

#include "decoders/language/draft.h"
#include "decoders/language/mapping_reader.h"

namespace proofdrive::decoders {

// `file` reads the top of one file. Several files may state the same fact, as long as they agree.
void ReadFacts(const MappingReader& file, Draft& draft);

}  // namespace proofdrive::decoders
