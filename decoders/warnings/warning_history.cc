#include "decoders/warnings/warning_history.h"

namespace proofdrive::decoders {

std::string_view WarningStateName(WarningStateKind kind) {
  switch (kind) {
    case WarningStateKind::kUnknown:
      return "unknown";
    case WarningStateKind::kOff:
      return "off";
    case WarningStateKind::kOn:
      return "on";
  }
  return "unknown";
}

}  // namespace proofdrive::decoders
