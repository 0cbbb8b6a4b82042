// A likely place of a frame that is gone is a guess from its shape. The checksum and the counter
// that the definition file describes can confirm it, or rule it out.
#pragma once

#include "analysis/compare/comparison.h"
#include "core/base/result.h"
#include "session/reader.h"

namespace proofdrive::analysis {

// A checksum or counter is right at a place when it is in this share of the frames, and there are
// kFramesToConfirm. A checksum of 8 bits is right by chance in one frame of 256, a counter of 4
// bits in one of 16.
inline constexpr double kShareToConfirm = 0.99;
inline constexpr std::uint64_t kFramesToConfirm = 20;
// The places of a frame that are looked at, the most alike first.
inline constexpr std::size_t kMostPlaces = 8;

// Reads those identifiers of the after-session, no other frames, and sets LikelyPlace::fit, `why`
// and the order of places. Errors are those of reading.
Status ConfirmPlaces(session::Reader& after, Comparison& comparison);

}  // namespace proofdrive::analysis
