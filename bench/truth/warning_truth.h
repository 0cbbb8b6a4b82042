// What the warnings of decoders/library/bramble-seven.yaml must come out as, judged on the state of
// the model itself and not on any frame.
#pragma once

#include <span>
#include <string_view>
#include <vector>

#include "bench/car/car.h"

namespace proofdrive::bench {

struct WarningRule {
  std::string_view name;
  std::string_view unit;  // control unit whose silence leaves no evidence
  bool (*when)(const Car& car) = nullptr;
  double for_s = 0;
  double clear_for_s = 0;
  bool (*proven)(const Car& car) = nullptr;
  double proven_for_s = 0;
};

std::span<const WarningRule> WarningRules();

// A time the warning was on, in seconds from the start; still on: to_s is the end.
struct OnSpan {
  double from_s = 0;
  double to_s = 0;
};

// One warning over a whole scenario.
class WarningTruth {
 public:
  explicit WarningTruth(const WarningRule& rule) : rule_(rule) {}

  // Once per step of the car.
  void Observe(const Car& car);

  const WarningRule& rule() const { return rule_; }
  const std::vector<OnSpan>& spans() const { return spans_; }
  bool on() const { return on_; }
  double proven_longest_s() const { return proven_longest_s_; }
  // Half a step less is enough: steps are summed.
  bool proven() const { return proven_longest_s_ + kStepSeconds / 2 >= rule_.proven_for_s; }

 private:
  const WarningRule& rule_;
  std::vector<OnSpan> spans_;
  bool on_ = false;
  double held_s_ = 0;  // the condition has been other than `on_` says for this long
  double proven_s_ = 0;
  double proven_longest_s_ = 0;
};

}  // namespace proofdrive::bench
