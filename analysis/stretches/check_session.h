// The checks of a session of any length, as a consumer of a pass.
#pragma once

#include <cstdint>
#include <vector>

#include "analysis/checking/input.h"
#include "analysis/checking/settings.h"
#include "analysis/pass/pass.h"
#include "analysis/stretches/stretched_checks.h"

namespace proofdrive::analysis {

// Gathers what the checks need, in a pass that may have other consumers.
class CheckTaker : public SeriesConsumer {
 public:
  // Facts of the definition files count where `settings` does not say otherwise. `measured`: by
  // hand, while the session was recorded. REQUIRES: `set` has definitions.
  CheckTaker(const session::Reader& reader, const DefinitionSet& set, const CheckSettings& settings,
             std::vector<session::Measurement> measured = {}, const StretchLimits& limits = {});

  std::vector<std::uint32_t> Signals() const override { return roles_.signals(); }
  void OnSeries(const Series& part) override { checks_.Add(roles_.Read(part)); }
  bool OnEndOfStretch() override;
  // Once, when the pass has run.
  std::vector<CheckResult> Finish() { return checks_.Finish(); }

 private:
  RoleReader roles_;
  StretchedChecks checks_;
};

// All checks of a session; without definitions every one says that it cannot tell.
Result<std::vector<CheckResult>> CheckSession(session::Reader& reader, const DefinitionSet& set,
                                              const CheckSettings& settings,
                                              std::vector<session::Measurement> measured = {},
                                              const Pass::Progress& progress = {});

}  // namespace proofdrive::analysis
