// One decoded value of one signal at one time.
#pragma once

#include <cstdint>
#include <string_view>

#include "core/base/time.h"

namespace proofdrive::decoders {

enum class Validity : std::uint8_t {
  kValid,
  kAbsent,      // the sender says it has no value (or sends a NaN); number is NaN
  kOutOfRange,  // decoded, but outside the signal's range; number is what was decoded
};
std::string_view ValidityName(Validity validity);  // "valid", "absent", "out of range"

struct Value {
  WallTime time;
  std::uint32_t signal = 0;   // index into Definitions::signals
  std::uint32_t element = 0;  // 0 for scalars; 0-based place in a series
  double number = 0;          // physical value in the signal's unit; NaN for text, see TextOf
  std::int64_t raw = 0;       // after sign extension; the bit pattern for floats and unsigned 64
                              // bits; of `number` for computed signals
  Validity validity = Validity::kValid;
};

}  // namespace proofdrive::decoders
