// One answer of each check for a recording that was judged stretch by stretch.
//
// The worst answer of any stretch is the answer: what a check says of a stretch it says of a real
// recording, with every value. What is slower than a stretch is judged as a whole besides, or only
// so (how_judged.h). "Within limits" is what nothing contradicts: no stretch, not the whole, no
// signal that is found unusable by either.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "analysis/checking/check_result.h"
#include "analysis/stretches/how_judged.h"

namespace proofdrive::analysis {

// What was used of a recording that is too long to be kept whole.
struct ThinnedUse {
  std::uint64_t values = 0;  // of the signals with a role
  std::uint64_t kept = 0;    // of them for what is judged as a whole
};

// A role whose signal a stretch used, although all of the recording shows that it must not be.
struct RoleInDoubt {
  std::string role;
  std::string why;           // a sentence
  bool only_needed = false;  // a check that merely looks at it does without
};

class MergedResults {
 public:
  // The answers of one stretch, in the order of AllChecks; `time` of session time.
  void Add(const Interval& time, std::vector<CheckResult> results);
  std::size_t stretches() const { return stretches_; }
  // `whole`: the answers about all of it.
  std::vector<CheckResult> Finish(std::vector<CheckResult> whole, const ThinnedUse& use,
                                  const std::vector<RoleInDoubt>& doubts = {});

 private:
  struct Said {
    Interval time;
    std::string summary;
  };
  struct Merged {
    CheckResult worst;  // the first of those that say most
    Interval time;
    std::vector<Said> alarms;  // the first of them
    std::size_t all_alarms = 0;
    std::size_t within = 0;
    std::size_t could_not = 0;  // though the signals were there
    Said first_could_not;
    std::optional<double> alarm_error;  // the least of those with an alarm
    std::optional<double> best_error;   // of a stretch within limits, of HowJudged::known_by
    Said best;
    std::vector<Footing> stands_on;
    std::vector<RoleUse> roles;
    std::vector<std::string> measured;
  };

  void Take(const Interval& time, CheckResult result, Merged& merged) const;
  CheckResult FinishOne(Merged merged, CheckResult whole) const;
  CheckResult OfStretches(Merged& merged) const;
  std::string HowItWas(const HowJudged& how, const ThinnedUse& use) const;

  std::vector<Merged> merged_;
  std::size_t stretches_ = 0;
};

}  // namespace proofdrive::analysis
