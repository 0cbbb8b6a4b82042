// What every signal did in both sessions, and whether numbers differ where the car did the same.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "analysis/figures/typical.h"
#include "analysis/findings/session_findings.h"
#include "analysis/statistics/effects.h"

namespace proofdrive::analysis {

// Limits; docs/verdicts.md, "Signals". Common practice, no source, unless stated.
// Windows are compared only when current, speed and cell temperature are no further apart.
inline constexpr double kCurrentReach = 12.5;   // A
inline constexpr double kSpeedReach = 5;        // in the unit of the signal
inline constexpr double kTemperatureReach = 5;  // in the unit of the signal
// Below this overlap of operating points nothing is said.
inline constexpr double kLeastOverlap = 0.3;
// Independent windows each side needs.
inline constexpr double kLeastWindows = 8;
// A change must have at least this effect (Cliff's delta, "medium") and this adjusted p.
inline constexpr double kLeastEffect = 0.33;
inline constexpr double kLeastP = 0.05;
// Equal within this share of the range seen in both sessions.
inline constexpr double kMarginShare = 0.05;
// So many values that never change are a constant: a version, a setting.
inline constexpr std::uint64_t kFewestConstant = 3;

enum class SignalChange {
  kOneSided,       // received in one session only
  kStates,         // a signal of states: which were seen says all
  kTooFew,         // too few independent windows
  kNotComparable,  // the car did not do the same in both
  kChanged,
  kSame,     // equal within the margin
  kUnclear,  // neither shown to differ nor shown to be equal
};
// "one session only", "states", "too few", "not comparable", "changed", "same", "unclear".
std::string_view SignalChangeName(SignalChange change);

struct SignalComparison {
  std::uint32_t signal = 0;  // index into Definitions::signals
  SignalChange change = SignalChange::kUnclear;
  std::string why;  // a phrase for people
  // What it said most of the time, whatever the car did; nullopt for states and text.
  std::optional<Typical> before, after;
  // One value (or text) all the time in each session, not the same in both: nothing to be unsure
  // about.
  bool constant = false;
  // States seen on one side only.
  std::vector<std::string> only_before;
  std::vector<std::string> only_after;
  // Whether other signals told what the car did (current, speed, temperature); if not, the whole
  // recordings were compared.
  bool matched = false;
  // Numbers; zero unless windows could be compared.
  std::size_t windows_before = 0, windows_after = 0;     // at the same operating points
  double independent_before = 0, independent_after = 0;  // what those are worth
  double overlap = 0;                                    // of operating points, 0..1
  double difference = 0;                                 // after - before, matched
  double low = 0, high = 0;                              // 95 % interval (block bootstrap)
  double effect = 0;                                     // Cliff's delta
  double p = 1, p_adjusted = 1;
  double margin = 0;

  // Numbers of both sessions were compared, or would have been with more of them.
  bool is_of_numbers() const {
    return change != SignalChange::kOneSided && change != SignalChange::kStates && !constant;
  }
};

// One entry per signal that was received in either session, in order of definition. REQUIRES: the
// same definitions in both.
std::vector<SignalComparison> CompareSignals(const SessionFindings& before,
                                             const SessionFindings& after);

}  // namespace proofdrive::analysis
