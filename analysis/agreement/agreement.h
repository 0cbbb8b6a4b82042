// What several signals say of the same thing, being written down: where they agree, and where one
// of their definitions must be wrong.
#pragma once

#include <string>
#include <utility>
#include <vector>

#include "analysis/checking/draft.h"
#include "analysis/checking/input.h"

namespace proofdrive::analysis {

class Agreement {
 public:
  // Both must outlive it.
  Agreement(CheckInput& input, const CheckSettings& settings)
      : input_(input), draft_(input, settings) {}

  const CheckInput& input() const { return input_; }
  CheckDraft& draft() { return draft_; }

  // Two definitions that held against each other: "cell and pack voltages".
  void Agrees(std::string what) { agreed_.push_back(std::move(what)); }
  // "your definitions contradict each other: " + `what`. No check uses the signals with these roles
  // any more.
  void Contradicts(const std::vector<decoders::RoleName>& roles, const std::string& what);
  // It may be a definition or the car: both are said, and the checks go on.
  void Either(const std::string& what) { draft_.Judge(CheckStatus::kLookCloser, what); }

  CheckResult Take();

 private:
  CheckInput& input_;
  CheckDraft draft_;
  std::vector<std::string> agreed_;
};

}  // namespace proofdrive::analysis
