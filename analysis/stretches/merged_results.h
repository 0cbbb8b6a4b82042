// One answer of each check for a recording that was judged stretch by stretch.
//
// The worst answer of any stretch is the answer: what a check says of a stretch it says of a real
// recording, with every value. "Within limits" is what no stretch contradicts and at least one
// says. Checks whose matter is slower than a stretch are judged as a whole besides, and are within
// limits only when that says so.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

#include "analysis/checking/check_result.h"
#include "decoders/model/roles.h"

namespace proofdrive::analysis {

// What is judged as a whole, too, and the roles that takes.
bool IsOfTheWhole(std::string_view check);
const std::vector<decoders::RoleName>& RolesOfTheWhole();

// What was used of a recording that is too long to be kept whole.
struct ThinnedUse {
  std::uint64_t values = 0;  // of the signals with a role
  std::uint64_t kept = 0;    // of them for what is judged as a whole
};

class MergedResults {
 public:
  // The answers of one stretch, in the order of AllChecks; `time` of session time.
  void Add(const Interval& time, std::vector<CheckResult> results);
  std::size_t stretches() const { return stretches_; }
  // `whole`: the answers about all of it.
  std::vector<CheckResult> Finish(std::vector<CheckResult> whole, const ThinnedUse& use);

 private:
  struct Said {
    Interval time;
    CheckStatus status = CheckStatus::kCannotTell;
    std::string summary;
  };
  struct Merged {
    CheckResult worst;  // the first of those that say most
    Interval time;
    std::vector<Said> alarms;  // the first of them
    std::size_t all_alarms = 0;
    std::size_t within = 0;
    std::vector<Footing> stands_on;
    std::vector<RoleUse> roles;
    std::vector<std::string> measured;
  };

  void Take(const Interval& time, CheckResult result, Merged& merged) const;
  CheckResult FinishOne(Merged merged, const CheckResult* whole) const;
  std::string HowJudged(const ThinnedUse& use, bool whole) const;

  std::vector<Merged> merged_;
  std::size_t stretches_ = 0;
};

}  // namespace proofdrive::analysis
