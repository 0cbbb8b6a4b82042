// A link that is charged, closed and opened once. Worked values: R = 50 ohm, C = 2 mF, 400 V gives
// tau 0.1 s and 95 % after 0.29957 s (calculated).
#pragma once

#include <cmath>

#include "tests/unit/analysis/checks/input_builder.h"

namespace proofdrive::testing {

inline constexpr double kPack = 400;
inline constexpr double kUp = 10;       // pre-charge begins
inline constexpr double kClose = 10.3;  // the main contactor closes
inline constexpr double kOpen = 60;

// 0 open, 1 pre-charge, 2 closed.
inline double State(double t) { return t < kUp ? 0 : t < kClose ? 1 : t < kOpen ? 2 : 0; }

inline double Rise(double t, double tau) { return kPack * (1 - std::exp(-(t - kUp) / tau)); }

// A healthy link, read every 10 ms: up with tau 0.1 s, down within 3 s.
inline double Link(double t) {
  if (t < kUp) return 0;
  if (t < kClose) return Rise(t, 0.1);
  if (t < kOpen) return kPack;
  return kPack * std::exp(-(t - kOpen) / 1.0);
}

// What `check` says of it.
inline analysis::CheckResult Switched(const char* check, const Formula& link,
                                      const Formula& state) {
  InputBuilder input(100);
  input.Scalar("link voltage", 0.01, 0.5, link)
      .Scalar("pack voltage", 0.1, 0.1, [](double) { return kPack; })
      .States("contactor state", {"open", "precharge", "closed"}, 0.01, state);
  return input.Run(check);
}

}  // namespace proofdrive::testing
