#include "daemon/json/live_feed.h"

#include <nlohmann/json.hpp>

#include "core/base/json.h"

namespace proofdrive::daemon {

void LiveFeed::Tick() {
  snapshot_ = box_->Get();
  now_ = nullptr;
  if (snapshot_->definitions.get() != described_) {
    described_ = snapshot_->definitions.get();
    vehicle_ = nullptr;
    past_.clear();
    before_.clear();
  }
  NoteWarnings();
  if (ticks_++ % kTicksPerRow == 0) last_minutes_.Take(*snapshot_);
}

void LiveFeed::NoteWarnings() {
  using decoders::WarningStateKind;
  past_.resize(snapshot_->warnings.size());
  before_.resize(snapshot_->warnings.size());
  for (std::size_t i = 0; i < snapshot_->warnings.size(); ++i) {
    const decoders::WarningSpan& now = snapshot_->warnings[i];
    decoders::WarningSpan& before = before_[i];
    if (before.kind == WarningStateKind::kOn && now.kind != WarningStateKind::kOn) {
      past_[i] = {before.from, now.from};
    }
    before = now;
  }
}

LiveFeed::Text LiveFeed::vehicle() {
  if (!vehicle_) vehicle_ = std::make_shared<const std::string>(DumpJson(VehicleJson(*snapshot_)));
  return vehicle_;
}

LiveFeed::Text LiveFeed::now() {
  if (!now_) now_ = std::make_shared<const std::string>(DumpJson(NowJson(*snapshot_, past_)));
  return now_;
}

}  // namespace proofdrive::daemon
