#include "analysis/agreement/agreement.h"

#include <algorithm>

#include "core/base/text.h"

namespace proofdrive::analysis {

void Agreement::Contradicts(const std::vector<decoders::RoleName>& roles, const std::string& what) {
  const std::string why = "your definitions contradict each other: " + what;
  for (RoleSignal& signal : input_.signals) {
    const bool meant = std::any_of(roles.begin(), roles.end(), [&](const decoders::RoleName& role) {
      return signal.role == role;
    });
    if (!meant || !signal.unusable.empty() || !signal.received()) continue;
    signal.unusable = "is contradicted by another definition: " + what;
    signal.disputed = true;
  }
  draft_.Judge(CheckStatus::kLookCloser, why);
}

CheckResult Agreement::Take() {
  if (!agreed_.empty()) {
    draft_.Judge(CheckStatus::kWithin, "they agree with each other: " + Join(agreed_, "; "));
  }
  if (agreed_.empty()) {
    draft_.Missing(
        "two signals that show the same thing: cells and pack voltage, pack and link voltage with "
        "the contactors closed, current and energy left, speed and odometer");
  }
  draft_.Alike("two definitions that are wrong by the same factor agree with each other");
  CheckResult result = draft_.Take();
  result.name = kDefinitionsCheck;
  result.title = "Definitions against each other";
  return result;
}

}  // namespace proofdrive::analysis
