#include "analysis/series/session_clock.h"

#include <algorithm>

#include "analysis/session/session_timeline.h"

namespace proofdrive::analysis {
namespace {

bool GoesBack(std::span<const WallTime> times) {
  for (std::size_t i = 1; i < times.size(); ++i) {
    if (times[i] < times[i - 1] - SessionTimeline::kJitter) return true;
  }
  return false;
}

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

Status SessionClock::LookForSteps() {
  looked_ = true;
  start_ = reader_.first_time();
  bool back = RecorderSawStep(reader_.events());
  for (const StreamKey& key : BusiestStreams(reader_.streams())) {
    if (back) break;
    ASSIGN_OR_RETURN(const session::Column column, reader_.ReadStream(key));
    back = GoesBack(column.times);
  }
  return back ? FindShifts() : Status::Ok();
}

Status SessionClock::FindShifts() {
  stepped_ = true;
  SessionTimeline timeline;
  RETURN_IF_ERROR(reader_.ForEachFrame([&](const Frame& frame) {
    timeline.Place(frame);
    const Duration shift = timeline.shift(frame.channel);
    StreamShifts& stream = streams_[KeyOf(frame)];
    if (stream.from.empty() || stream.from.back().shift != shift) {
      stream.from.push_back({stream.rows, shift});
    }
    ++stream.rows;
    return true;
  }));
  return Status::Ok();
}

std::vector<SessionClock::ShiftFrom> SessionClock::ShiftsOf(const session::Column& column) const {
  if (!stepped_) return {{0, Duration(0)}};
  const auto found = streams_.find(column.key);
  if (found != streams_.end() && found->second.rows == column.times.size()) {
    return found->second.from;
  }
  // Damage took other frames from the whole than from this stream: what the stream itself shows.
  std::vector<ShiftFrom> shifts = {{0, Duration(0)}};
  for (std::size_t i = 1; i < column.times.size(); ++i) {
    const Duration step = column.times[i] - column.times[i - 1];
    if (step < -SessionTimeline::kJitter) shifts.push_back({i, shifts.back().shift - step});
  }
  return shifts;
}

Result<std::vector<Duration>> SessionClock::Place(const session::Column& column) {
  if (!looked_) RETURN_IF_ERROR(LookForSteps());
  if (!stepped_ && GoesBack(column.times)) RETURN_IF_ERROR(FindShifts());
  const std::vector<ShiftFrom> shifts = ShiftsOf(column);
  std::vector<Duration> at;
  at.reserve(column.times.size());
  Duration last{0};
  std::size_t next = 0;
  Duration shift{0};
  for (std::size_t row = 0; row < column.times.size(); ++row) {
    if (next < shifts.size() && shifts[next].row == row) shift = shifts[next++].shift;
    last = std::max(last, column.times[row] - start_ + shift);
    at.push_back(last);
  }
  return at;
}

}  // namespace proofdrive::analysis
