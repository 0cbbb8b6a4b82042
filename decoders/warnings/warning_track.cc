#include "decoders/warnings/warning_track.h"

#include <algorithm>
#include <utility>

namespace proofdrive::decoders {

void WarningTrack::Start(WallTime time) {
  when_since_ = time;
  spans_.push_back({WarningStateKind::kUnknown, time, time});
}

void WarningTrack::Set(Truth when, Truth proof, WallTime time) {
  if (when != when_) {
    when_ = when;
    when_since_ = time;
  }
  proof_ = proof;
  Settle(time);
}

// Before anything was known, "off" needs no waiting: there is nothing to clear.
bool WarningTrack::ChangeIsPending() const { return when_ && settled_ != when_; }

WallTime WarningTrack::NextChange() const {
  return ChangeIsPending() ? when_since_ + Hold() : WallTime::max();
}

void WarningTrack::Settle(WallTime time) {
  if (ChangeIsPending()) {
    const bool first_off = !settled_ && !*when_;
    if (first_off || time - when_since_ >= Hold()) settled_ = when_;
  }
  Show(time);
  TrackProof(time);
}

void WarningTrack::Show(WallTime time) {
  WarningStateKind kind = WarningStateKind::kUnknown;
  if (when_ && settled_) kind = *settled_ ? WarningStateKind::kOn : WarningStateKind::kOff;
  WarningSpan& last = spans_.back();
  last.to = time;
  if (last.kind == kind) return;
  if (last.from == time) {  // nothing in between: it never was
    spans_.pop_back();
    if (!spans_.empty() && spans_.back().kind == kind) return;
  }
  spans_.push_back({kind, time, time});
}

void WarningTrack::TrackProof(WallTime time) {
  // While the warning is on it has appeared: only what it was off through proves anything.
  const bool off = spans_.back().kind == WarningStateKind::kOff;
  const bool holds = off && proof_ == Truth(true);
  if (proof_since_) CountProof(time);
  if (!holds) {
    proof_since_.reset();
  } else if (!proof_since_) {
    proof_since_ = time;
    CountProof(time);
  }
  if (proof_ == Truth(false)) proof_can_count_ = true;
}

void WarningTrack::CountProof(WallTime time) {
  const Duration held = time - *proof_since_;
  proof_longest_ = std::max(proof_longest_, held);
  if (!proof_can_count_ || !warning_->proven_by || held < warning_->proven_by->hold) return;
  ++proof_times_;
  proof_can_count_ = false;  // frames that were lost in between are no second time
}

WarningHistory WarningTrack::Finish(WallTime end) {
  Settle(end);
  WarningHistory history;
  for (const WarningSpan& span : spans_) {
    const Duration length = span.to - span.from;
    if (span.kind != WarningStateKind::kUnknown) history.known += length;
    if (span.kind != WarningStateKind::kOn) continue;
    history.on += length;
    ++history.times_set;
    if (!history.first_set) history.first_set = span.from;
    history.last_set = span.from;
  }
  history.at_end = spans_.back().kind;
  history.proven_longest = proof_longest_;
  history.proven_times = proof_times_;
  history.proven = warning_->proven_by && proof_times_ >= warning_->proven_by->times;
  history.spans = std::move(spans_);
  return history;
}

}  // namespace proofdrive::decoders
