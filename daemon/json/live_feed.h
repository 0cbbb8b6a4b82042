// What the live page is told, made from the snapshots: a description of the vehicle and, ten times
// a second, what is so now. Also remembers what a single snapshot does not show: the last minutes,
// and warnings that were on.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "daemon/json/live_json.h"
#include "daemon/live/last_minutes.h"
#include "daemon/live/snapshot.h"
#include "web/live_source.h"

namespace proofdrive::daemon {

// One thread, the web thread.
class LiveFeed : public web::LiveSource {
 public:
  using Text = web::SharedText;

  explicit LiveFeed(const SnapshotBox& box) : box_(&box) {}

  // Looks at the newest snapshot.
  void Tick() override;

  // JSON, docs/api.md. Never null. A text that has not changed is the same object. They are of the
  // last Tick.
  Text vehicle();
  Text now();
  web::SharedText introduction() override { return vehicle(); }
  web::SharedText news() override { return now(); }

  const LastMinutes& last_minutes() const { return last_minutes_; }

 private:
  void NoteWarnings();

  static constexpr int kTicksPerRow = 5;  // LastMinutes::kStep

  const SnapshotBox* box_;
  std::shared_ptr<const Snapshot> snapshot_ = std::make_shared<Snapshot>();
  const decoders::Definitions* described_ = nullptr;
  LastMinutes last_minutes_;
  std::vector<WarningPast> past_;
  std::vector<decoders::WarningSpan> before_;
  int ticks_ = 0;
  Text vehicle_;
  Text now_;
};

}  // namespace proofdrive::daemon
