#include "decoders/signals/value.h"

namespace proofdrive::decoders {

std::string_view ValidityName(Validity validity) {
  switch (validity) {
    case Validity::kValid:
      return "valid";
    case Validity::kAbsent:
      return "absent";
    case Validity::kOutOfRange:
      return "out of range";
  }
  return "valid";
}

}  // namespace proofdrive::decoders
