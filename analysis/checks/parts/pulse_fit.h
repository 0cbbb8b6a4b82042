// The pack's resistance by pulse length, from everything the load did: what resistance and cooling
// checks share.
#pragma once

#include <vector>

#include "analysis/checking/input.h"
#include "analysis/checking/settings.h"
#include "analysis/checks/parts/load_terms.h"

namespace proofdrive::analysis {

// Voltage as a sum of load terms. Pairs of readings around single steps read too little: what
// earlier load left in the slow parts still moves meanwhile.
class PulseFit {
 public:
  // `current` positive = discharge, NaN where it is not known. Only stretches of some minutes in
  // which the current changes by `least_a` count.
  PulseFit(const Track& voltage, const Track& current, double least_a);

  // There was such a stretch.
  bool fitted() const { return fitted_; }
  // And enough changes of current, by `least_a` within 2 s, to know short pulses.
  bool known() const { return fitted_ && steps_ >= kFewestSteps; }
  std::size_t steps() const { return steps_; }
  // After a step that lasts so long from rest, ohm, without what the charge itself changes.
  double Ohm(double seconds) const { return OhmOf(all_, seconds); }
  // One standard deviation: how it changes without parts of the time, and gains of the sensors.
  double Uncertainty(double seconds) const;
  // Heat that the resistance makes, W, at the readings of `current`: what the load takes off the
  // voltage, times the current. Slow parts of the resistance count as far as they have come.
  Track Heat(const Track& current) const;
  // Stretches that count, in order of time.
  const Intervals& times() const { return times_; }

  static constexpr std::size_t kFewestSteps = 3;

 private:
  static double OhmOf(const LoadTerms& slopes, double seconds);

  std::size_t steps_ = 0;
  bool fitted_ = false;
  LoadTerms all_ = {};
  std::vector<LoadTerms> without_;  // with each part of the time left out
  Intervals times_;
};

// Smallest change that counts: 0.2 C when pack.capacity is known, else resistance.step.
double LeastStep(const CheckSettings& settings);

// Of pack voltage and current.
PulseFit PackPulses(const CheckInput& input, const CheckSettings& settings);

}  // namespace proofdrive::analysis
