#include "analysis/pass/stream_clock.h"

#include <algorithm>

#include "analysis/session/session_timeline.h"

namespace proofdrive::analysis {
namespace {

constexpr std::int64_t kJitterNs = SessionTimeline::kJitter.count();

bool RecorderSawStep(const std::vector<session::Event>& events) {
  return std::any_of(events.begin(), events.end(), [](const session::Event& event) {
    return event.kind == session::EventKind::kClockStep && event.step < Duration(0);
  });
}

// The stream with the most frames of every channel.
std::vector<StreamKey> BusiestStreams(const std::vector<session::StreamInfo>& streams) {
  std::map<std::uint8_t, const session::StreamInfo*> busiest;
  for (const session::StreamInfo& stream : streams) {
    const auto [found, added] = busiest.try_emplace(stream.key.channel, &stream);
    if (!added && stream.frames > found->second->frames) found->second = &stream;
  }
  std::vector<StreamKey> keys;
  for (const auto& [channel, stream] : busiest) keys.push_back(stream->key);
  return keys;
}

}  // namespace

StreamClock::StreamClock(session::Reader& reader)
    : reader_(reader),
      start_ns_(ToNanoseconds(reader.first_time())),
      watched_(BusiestStreams(reader.streams())) {}

bool StreamClock::GoesBack(const session::BlockStream& stream) {
  const auto [before, first] = last_ns_.try_emplace(stream.key, stream.times_ns.front());
  std::int64_t last = before->second;
  bool back = false;
  for (const std::int64_t time : stream.times_ns) {
    back |= time < last - kJitterNs;
    last = time;
  }
  before->second = last;
  return back;
}

Status StreamClock::Look(const session::FrameBlock& block) {
  if (stepped_) return Status::Ok();
  bool back = last_ns_.empty() && RecorderSawStep(reader_.events());
  for (const session::BlockStream& stream : block.streams()) back |= GoesBack(stream);
  return back ? FindShifts() : Status::Ok();
}

void StreamClock::Note(const StreamKey& key, ShiftFrom from) {
  std::vector<ShiftFrom>& list = shifts_[key];
  const Duration before = list.empty() ? Duration(0) : list.back().shift;
  if (before != from.shift) list.push_back(from);
}

Status StreamClock::FindShifts() {
  stepped_ = true;
  SessionTimeline timeline;
  std::map<StreamKey, std::uint64_t> rows;
  return reader_.ForEachBlock({}, [&](const session::FrameBlock& block) {
    rows.clear();
    bool ordered = false;
    block.ForEachBatch([&](std::span<const Frame> frames) {
      for (const Frame& frame : frames) {
        timeline.Place(frame);
        const StreamKey key = KeyOf(frame);
        Note(key, {block.done(), rows[key]++, timeline.shift(frame.channel)});
      }
      return ordered = true;
    });
    if (!ordered) TakeAlone(block);
    return true;
  });
}

// Damage took the order of these frames: what each stream shows by itself.
void StreamClock::TakeAlone(const session::FrameBlock& block) {
  for (const session::BlockStream& stream : block.streams()) {
    const auto known = shifts_.find(stream.key);
    Duration shift = known == shifts_.end() ? Duration(0) : known->second.back().shift;
    for (std::size_t row = 1; row < stream.rows(); ++row) {
      const std::int64_t step = stream.times_ns[row] - stream.times_ns[row - 1];
      if (step >= -kJitterNs) continue;
      shift -= Duration(step);
      Note(stream.key, {block.done(), row, shift});
    }
  }
}

void StreamClock::Place(const session::FrameBlock& block, const session::BlockStream& stream,
                        std::vector<Duration>& at) {
  static const std::vector<ShiftFrom> kNone;
  const auto found = shifts_.find(stream.key);
  const std::vector<ShiftFrom>& shifts = found == shifts_.end() ? kNone : found->second;
  Placed& placed = placed_[stream.key];
  at.resize(stream.rows());
  for (std::size_t row = 0; row < stream.rows(); ++row) {
    while (placed.next < shifts.size() &&
           (shifts[placed.next].block < block.done() ||
            (shifts[placed.next].block == block.done() && shifts[placed.next].row <= row))) {
      placed.shift = shifts[placed.next++].shift;
    }
    placed.last = std::max(placed.last, Duration(stream.times_ns[row] - start_ns_) + placed.shift);
    at[row] = placed.last;
  }
}

}  // namespace proofdrive::analysis
