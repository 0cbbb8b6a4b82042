// The values of proposed fields over time, to be held against something that is known.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "analysis/survey/rows/found.h"
#include "analysis/survey/rows/identifiers.h"

namespace proofdrive::analysis::survey {

// Which field: enough to find it in a proposal.
struct FieldName {
  std::string bus;
  std::uint32_t id = 0;
  bool extended = false;
  std::optional<std::uint64_t> page;
  decoders::Location location;
};

struct FieldTrack {
  FieldName name;
  FieldKind kind = FieldKind::kNumber;
  unsigned certain_bits = 0;
  std::shared_ptr<const std::vector<double>> times;  // s, in order; as in PayloadRows
  // Raw, after sign extension where the field is signed; NaN where all bits are set and the field
  // is not, which mostly means "no value".
  std::vector<double> values;
};

// All fields, pages included. REQUIRES: `found` is the survey of `identifiers`.
std::vector<FieldTrack> TracksOf(const std::vector<Identifier>& identifiers,
                                 const std::vector<FoundFrame>& found);

}  // namespace proofdrive::analysis::survey
