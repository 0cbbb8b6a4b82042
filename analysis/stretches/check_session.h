// The checks of a session of any length, in bounded memory.
//
// Up to StretchLimits::most_whole values the recording is kept whole and the answers are those of
// RunChecks, exactly. A longer one is judged stretch by stretch, each with every value
// (merged_results.h), because a check may look at any moment of its signals and a value left out
// could be the fault; what is slower than a stretch is judged of thinned signals besides
// (thinned_input.h). Stretches overlap, so that what happens at a cut is seen whole.
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "analysis/checking/input.h"
#include "analysis/checking/settings.h"
#include "analysis/checks/checks.h"
#include "analysis/pass/pass.h"
#include "analysis/stretches/merged_results.h"
#include "analysis/stretches/thinned_input.h"

namespace proofdrive::analysis {

// Values of all signals with a role together, 16 bytes each.
struct StretchLimits {
  std::size_t most_whole = 3'500'000;  // checks need half as much again while they run
  std::size_t most = 1'500'000;        // of one stretch of a longer recording
  double overlap_s = 120;
};

// Gathers what the checks need, in a pass that may have other consumers.
class CheckTaker : public SeriesConsumer {
 public:
  // Facts of the definition files count where `settings` does not say otherwise. `measured`: by
  // hand, while the session was recorded. REQUIRES: `set` has definitions.
  CheckTaker(const session::Reader& reader, const DefinitionSet& set, const CheckSettings& settings,
             std::vector<session::Measurement> measured = {}, const StretchLimits& limits = {});

  std::vector<std::uint32_t> Signals() const override { return roles_.signals(); }
  void OnSeries(const Series& part) override;
  bool OnEndOfStretch() override;
  // Once, when the pass has run.
  std::vector<CheckResult> Finish();

 private:
  std::size_t MostValues() const;
  void Judge(bool last);
  void BeginStretch(const std::vector<RoleSignal>& before);
  std::vector<RoleSignal> Tails() const;
  std::vector<session::Measurement> MeasuredNow(bool last) const;

  const CheckSettings settings_;
  const std::vector<session::Measurement> measured_;
  const StretchLimits limits_;
  RoleReader roles_;
  std::vector<double> expected_;  // values of one element of each signal, about
  double all_expected_ = 0;
  CheckInput input_;  // of the stretch at hand
  double from_s_ = 0;
  std::size_t values_ = 0;  // in it, at most
  ThinnedInput thinned_;
  MergedResults merged_;
};

// All checks of a session; without definitions every one says that it cannot tell.
Result<std::vector<CheckResult>> CheckSession(session::Reader& reader, const DefinitionSet& set,
                                              const CheckSettings& settings,
                                              std::vector<session::Measurement> measured = {},
                                              const Pass::Progress& progress = {});

}  // namespace proofdrive::analysis
