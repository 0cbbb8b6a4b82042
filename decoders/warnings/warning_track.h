// One warning through time: debouncing, spans, and how long its proof held.
#pragma once

#include <optional>
#include <string>

#include "decoders/model/definitions.h"
#include "decoders/warnings/warning_history.h"

namespace proofdrive::decoders {

// What a condition says: nullopt is unknown.
using Truth = std::optional<bool>;

// Told at which time which condition changed; never looks at values itself.
class WarningTrack {
 public:
  explicit WarningTrack(const Warning& warning) : warning_(&warning) {}

  void Start(WallTime time);
  // The conditions from `time` on. Times never go backward.
  void Set(Truth when, Truth proof, WallTime time);
  // The time at which the state changes if the conditions stay as they are; max() when it does not.
  WallTime NextChange() const;
  // Takes the change that is due at `time`.
  void Settle(WallTime time);

  WarningSpan current() const { return spans_.back(); }
  Truth when() const { return when_; }
  // How long `when` has been as it is.
  Duration HeldFor(WallTime now) const { return now - when_since_; }
  WarningHistory Finish(WallTime end);

 private:
  Duration Hold() const { return *when_ ? warning_->set_after : warning_->clear_after; }
  bool ChangeIsPending() const;
  void Show(WallTime time);
  void TrackProof(WallTime time);
  void CountProof(WallTime time);

  const Warning* warning_;
  Truth when_;
  WallTime when_since_;
  Truth settled_;  // on or off, as it was last known; no value before that
  Truth proof_;
  std::optional<WallTime> proof_since_;
  bool proof_can_count_ = true;
  std::uint32_t proof_times_ = 0;
  Duration proof_longest_{0};
  std::vector<WarningSpan> spans_;
};

}  // namespace proofdrive::decoders
