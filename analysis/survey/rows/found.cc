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

std::uint64_t ValueIn(const decoders::Location& location, ByteSpan payload) {
  std::uint64_t value = 0;
  for (const decoders::Piece& piece : location.pieces) {
    const unsigned part = (payload[piece.byte] >> piece.lowest_bit) & ((1U << piece.count) - 1U);
    value = value << piece.count | part;
  }
  return value;
}

}  // namespace proofdrive::analysis::survey
