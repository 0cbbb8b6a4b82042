// Reads `checksum` of a frame: its kind, what it covers, and what that kind is calculated with.
#pragma once

#include <optional>

#include "decoders/language/draft.h"
#include "decoders/language/mapping_reader.h"

namespace proofdrive::decoders {

// nullopt when the frame has none, or after a mistake, which has been reported. `frame` is the
// frame as far as it was read: its length and counter count.
std::optional<ChecksumRule> ReadChecksum(const MappingReader& frame_keys,
                                         const FrameDefinition& frame, Draft& draft);

}  // namespace proofdrive::decoders
