#include "analysis/survey/rows/found.h"

namespace proofdrive::analysis::survey {

std::string_view FieldKindName(FieldKind kind) {
  switch (kind) {
    case FieldKind::kNumber:
      return "number";
    case FieldKind::kState:
      return "state";
    case FieldKind::kFlag:
      return "flag";
    case FieldKind::kClock:
      return "clock";
    case FieldKind::kText:
      return "text";
    case FieldKind::kFloat:
      return "float";
  }
  return "";
}

}  // namespace proofdrive::analysis::survey
