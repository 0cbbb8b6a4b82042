// One recording judged at once and stretch by stretch: what do the answers differ by?
#pragma once

#include <string>
#include <vector>

#include "analysis/checking/check_result.h"
#include "tests/fleet/car/car.h"
#include "tests/fleet/sensors/sent.h"

namespace proofdrive::fleet {

enum class Difference {
  kNone,
  kLost,         // an alarm is gone
  kFalseWithin,  // "cannot tell" has become "within limits"
  kInvented,     // an alarm that judging at once does not give
  kWithdrawn,    // "within limits" has become "cannot tell"
};

struct TwoAnswers {
  std::string check;
  analysis::CheckResult at_once, stretched;
  Difference difference = Difference::kNone;
};

struct BothWays {
  std::vector<TwoAnswers> answers;
  std::size_t values = 0;
  std::size_t stretches = 0;
};

// A stretch has at most this share of the values.
BothWays JudgeBothWays(Sent sent, const Facts& facts, double share);

// The same car over more hours: it is driven and parked `times` times before what it does anyway.
Car DrivenMore(Car car, int times);

}  // namespace proofdrive::fleet
