// What the load did until a moment, as terms that explain a voltage.
#pragma once

#include <array>
#include <optional>

#include "analysis/checking/track.h"

namespace proofdrive::analysis {

// The current, the current behind lags of 0.4, 3, 25 and 150 s, and the charge taken out (Ah). The
// shortest lag takes up what one sensor is later than the other, the others the slow parts of a
// cell's resistance: published cells have branches of some 3 and 24 s and one of 137 to 153 s.
inline constexpr std::size_t kLoadTerms = 6;
inline constexpr std::array<double, 4> kLoadLags = {0.4, 3, 25, 150};  // s
inline constexpr std::size_t kChargeTerm = kLoadTerms - 1;
using LoadTerms = std::array<double, kLoadTerms>;

// What a term has reached so many seconds after a step of the current from rest, 0..1; the charge
// is left out.
double ReachedAfter(std::size_t term, double seconds);

// The terms at any time between two readings of the current; each run without gaps begins settled.
class LoadOverTime {
 public:
  // `current` positive = discharge, NaN where it is not known; it must outlive this.
  explicit LoadOverTime(const Track& current);

  // nullopt in a gap. Times must not fall from call to call.
  std::optional<LoadTerms> At(double at_s);

 private:
  void Step();
  void Move(double amps, double seconds);

  const Track& current_;
  double gap_;
  std::size_t next_ = 0;
  double before_s_ = -1e18, after_s_ = -1e9;
  LoadTerms before_ = {}, after_ = {};
  double step_s_ = 0;
  std::array<double, kLoadLags.size()> step_share_ = {};  // of the way in `step_s_`
};

}  // namespace proofdrive::analysis
