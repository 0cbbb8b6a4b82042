// The checks of a recording of any length, in bounded memory.
//
// Up to StretchLimits::most_whole values the recording is kept whole and the answers are those of
// RunChecks, exactly. A longer one is judged stretch by stretch, each with every value
// (merged_results.h), because a check may look at any moment of its signals and a value left out
// could be the fault; what is slower than a stretch is judged of thinned signals besides
// (thinned_input.h). A stretch ends where the pack has rested for some minutes when it does so in
// time: what happens while the pack works is then seen whole, and a rest is slow. Stretches
// overlap, so that what happens at a cut is in one of them from its begin to its end.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "analysis/checking/input.h"
#include "analysis/checking/settings.h"
#include "analysis/checks/checks.h"
#include "analysis/stretches/merged_results.h"
#include "analysis/stretches/thinned_input.h"

namespace proofdrive::analysis {

// Values of all signals with a role together, 16 bytes each.
struct StretchLimits {
  std::size_t most_whole = 3'500'000;  // checks need half as much again while they run
  std::size_t most = 2'600'000;        // of one stretch of a longer recording
  double overlap_s = 120;
};

// How many values a recording has, to ask for memory once.
struct ExpectedValues {
  std::vector<double> of_element;  // of one element of each signal, about
  double all = 0;
};

class StretchedChecks {
 public:
  // `empty`: the signals, without values.
  StretchedChecks(std::vector<RoleSignal> empty, CheckSettings settings,
                  std::vector<session::Measurement> measured, const StretchLimits& limits,
                  ExpectedValues expected);

  // What came next of one element.
  void Add(const RolePart& part);
  // All elements were given up to about the same time.
  void EndOfBlock();
  // Once, at the end.
  std::vector<CheckResult> Finish();
  // 0: it was judged as a whole.
  std::size_t stretches() const { return merged_.stretches(); }

 private:
  // In how many stretches a signal brought values, and in how many it was found unusable.
  struct Seen {
    std::size_t received = 0, unusable = 0, jumps = 0, disputed = 0;
    std::string why_jumps, why_disputed;  // the first of them
  };

  std::size_t MostValues() const;
  bool IsTimeToCut() const;
  double RestingFrom() const;
  void Judge(bool last);
  void NoteUnusable();
  void RejectLikeStretches(CheckInput& whole) const;
  void BeginStretch(const std::vector<RoleSignal>& before);
  std::vector<RoleSignal> TailsFrom(double from_s) const;
  std::vector<RoleSignal> Tails() const;
  std::vector<session::Measurement> MeasuredNow(bool last) const;
  std::vector<CheckResult> JudgeWhole(std::vector<RoleInDoubt>& doubts);

  const std::vector<RoleSignal> empty_;
  const CheckSettings settings_;
  const std::vector<session::Measurement> measured_;
  const StretchLimits limits_;
  const ExpectedValues expected_;
  std::size_t current_ = 0;  // index of the pack's current; the number of signals without one
  CheckInput input_;         // of the stretch at hand
  double from_s_ = 0;
  std::size_t values_ = 0;  // in it, at most
  std::vector<Seen> seen_;  // by signal
  ThinnedInput thinned_;
  MergedResults merged_;
};

}  // namespace proofdrive::analysis
