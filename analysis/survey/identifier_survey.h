// What one identifier carries, as far as its payloads tell: constant bits, check, counter, page
// selector, then fields. Without a meaning: that takes evidence from outside.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "analysis/survey/fields/field_costs.h"
#include "analysis/survey/fields/field_cuts.h"
#include "analysis/survey/rows/found.h"
#include "analysis/survey/rows/identifiers.h"

namespace proofdrive::analysis::survey {

// Below one of these nothing is proposed.
inline constexpr std::size_t kLeastFrames = 20;
inline constexpr std::size_t kLeastChanges = 5;

// An identifier in the midst of its survey: what can be said before the byte order is chosen.
struct Draft {
  FoundFrame whole;  // counter, checksum, selector, constant bits
  // All frames, or one for each page. `layout` is shared by pages whose fields are alike.
  struct Part {
    std::optional<std::uint64_t> page;
    PayloadRows rows;
    BitSet taken;
    double cost[2] = {0, 0};  // of the cheapest cut: most significant byte first, last
    std::vector<CutField> fields[2];
  };
  std::vector<Part> parts;
};

Draft StartSurvey(const Identifier& identifier, const CostWeights& weights = {});
// Bits by which the cheaper order is cheaper, positive: most significant byte first.
double OrderEvidence(const Draft& draft);
// The identifier, then its pages if it has any.
std::vector<FoundFrame> FinishSurvey(const Draft& draft, ByteOrder order);

}  // namespace proofdrive::analysis::survey
