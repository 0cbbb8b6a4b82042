// What to do on the next recording so that the warnings still open for lack of proof can be judged.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "analysis/compare/comparison.h"

namespace proofdrive::analysis {

// Something to reach, without a break, while the warnings it proves are off.
struct PlanStep {
  std::string condition;  // as written in the definition file
  std::string words;      // "coolant pump is high"
  Duration hold{0};
  std::uint32_t times = 1;
  Duration once{0};                 // one of the times must last this long; zero: `hold` is enough
  bool moving = false;              // asks for the vehicle to move
  std::vector<std::string> proves;  // names of warnings
  // The longest it held in the after-session: the least over the warnings that were known there.
  std::optional<Duration> reached;
  std::uint32_t reached_times = 0;  // of those that lasted long enough

  // "60 s without a break in which coolant pump is high (reached 12 s)"
  std::string Sentence() const;
};

// Something no driving can mend.
struct PlanObstacle {
  std::string what;                   // a sentence without its full stop
  std::vector<std::string> warnings;  // names of warnings, labels of codes
};

struct TestPlan {
  std::vector<PlanStep> steps;  // those at a standstill first
  std::vector<PlanObstacle> obstacles;

  bool empty() const { return steps.empty() && obstacles.empty(); }
};

// Nothing where the definitions describe nothing of the after-session.
// Of every warning and code whose verdict is "not proven" or "no evidence". A step is left out when
// another one that is asked for at least as long contains it.
TestPlan MakeTestPlan(const Comparison& comparison);

}  // namespace proofdrive::analysis
