#include "analysis/checking/check_result.h"

#include <algorithm>

namespace proofdrive::analysis {

std::string_view CheckStatusName(CheckStatus status) {
  switch (status) {
    case CheckStatus::kOutside:
      return "outside limits";
    case CheckStatus::kLookCloser:
      return "look closer";
    case CheckStatus::kCannotTell:
      return "cannot tell";
    case CheckStatus::kWithin:
      return "within limits";
  }
  return "";
}

CheckStatus Worse(CheckStatus a, CheckStatus b) { return a < b ? a : b; }

std::string_view MarkName(Mark mark) {
  switch (mark) {
    case Mark::kPublished:
      return "looked up";
    case Mark::kFromMemory:
      return "from memory";
    case Mark::kProposal:
      return "proposal";
    case Mark::kUser:
      return "set by you";
  }
  return "";
}

const Figure* CheckResult::FindFigure(std::string_view figure) const {
  for (const Figure& candidate : figures) {
    if (candidate.name == figure) return &candidate;
  }
  return nullptr;
}

const CheckResult* SignalsResult(std::span<const CheckResult> results) {
  const auto found = std::find_if(results.begin(), results.end(), [](const CheckResult& result) {
    return result.name == kSignalsCheck;
  });
  return found == results.end() ? nullptr : &*found;
}

}  // namespace proofdrive::analysis
