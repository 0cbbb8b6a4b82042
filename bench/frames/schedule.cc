#include "bench/frames/schedule.h"

#include <algorithm>

namespace proofdrive::bench {
namespace {

constexpr Duration kBitTime = std::chrono::microseconds(2);  // 500 kbit/s
// From the moment a frame is due until the control unit has it ready.
constexpr std::uint32_t kLeastJitterUs = 20;
constexpr std::uint32_t kMostJitterUs = 150;

// Smaller goes first: the bits of the identifier field as they appear on the wire. A base frame
// beats an extended one with the same first 11 bits (ISO 11898-1).
std::uint64_t Precedence(const Frame& frame) {
  if (!frame.Is(kExtendedId)) return std::uint64_t{frame.id} << 19;
  const std::uint64_t first = frame.id >> 18;
  return (first << 19) | (1u << 18) | (frame.id & 0x3FFFF);
}

Duration TimeOnWire(const Frame& frame) {
  return static_cast<Duration::rep>(WireBits(frame).most) * kBitTime;
}

}  // namespace

void BusLine::Queue(Duration ready, const Frame& frame) { waiting_.push_back({ready, frame}); }

void BusLine::Send(Duration limit, WallTime start, std::vector<Frame>& sent) {
  while (!waiting_.empty()) {
    const auto earlier = [](const Waiting& a, const Waiting& b) { return a.ready < b.ready; };
    const auto earliest = std::min_element(waiting_.begin(), waiting_.end(), earlier);
    const Duration begin = std::max(free_at_, earliest->ready);
    if (begin >= limit) return;
    const auto wins = [begin](const Waiting& a, const Waiting& b) {
      const bool a_ready = a.ready <= begin;
      const bool b_ready = b.ready <= begin;
      if (a_ready != b_ready) return a_ready;
      return a_ready && Precedence(a.frame) < Precedence(b.frame);
    };
    const auto winner = std::min_element(waiting_.begin(), waiting_.end(), wins);
    free_at_ = begin + TimeOnWire(winner->frame);
    winner->frame.time = start + free_at_;
    sent.push_back(winner->frame);
    waiting_.erase(winner);
  }
}

Schedule::Schedule(const Scenario& scenario, std::uint64_t seed, std::uint8_t first_channel,
                   WallTime start)
    : jitter_(seed, 2), noise_(seed, 3), first_channel_(first_channel), start_(start) {
  for (const FrameRow& row : FrameTable()) AddSender(scenario, row);
}

void Schedule::AddSender(const Scenario& scenario, const FrameRow& row) {
  Sender sender;
  sender.row = &row;
  sender.id = row.id;
  std::uint32_t period_ms = row.period_ms;
  for (const FrameChange& change : scenario.changes) {
    if (change.frame != row.name) continue;
    if (change.vanishes) return;
    if (change.new_id != 0) sender.id = change.new_id;
    if (change.period_ms != 0) period_ms = change.period_ms;
  }
  for (const std::string_view unit : scenario.silent_units) {
    if (unit == row.unit) return;
  }
  sender.period = std::chrono::milliseconds(period_ms);
  // Units wake at different moments; in steps of 0.1 ms within one period.
  sender.next = std::chrono::microseconds(100) * jitter_.Below(period_ms * 10);
  sender.count = static_cast<std::uint8_t>(jitter_.Below(row.counter.last + 1u));
  senders_.push_back(sender);
}

Frame Schedule::MakeFrame(Sender& sender, const Car& car) {
  const FrameRow& row = *sender.row;
  const std::uint8_t slots = static_cast<std::uint8_t>(row.pages + (row.extra_page != 0 ? 1 : 0));
  Payload payload(row.length);
  row.fill(car, sender.slot < row.pages ? sender.slot : row.extra_page, noise_, payload);
  sender.slot = static_cast<std::uint8_t>((sender.slot + 1) % slots);
  if (row.counter.last != 0) {
    payload.PutBits(row.counter.byte, row.counter.lowest_bit, 4, sender.count);
    sender.count = static_cast<std::uint8_t>((sender.count + 1) % (row.counter.last + 1));
  }
  if (row.checksum.kind != ChecksumKind::kNone) {
    payload.PutInteger(row.checksum.byte, 1,
                       Checksum(row.checksum.kind, payload.bytes(), row.checksum.byte));
  }
  Frame frame;
  frame.id = sender.id;
  frame.channel = static_cast<std::uint8_t>(first_channel_ + row.bus);
  frame.flags = row.extended ? std::uint8_t{kExtendedId} : std::uint8_t{0};
  frame.length = row.length;
  std::copy(payload.bytes().begin(), payload.bytes().end(), frame.data.begin());
  return frame;
}

void Schedule::Queue(std::uint8_t bus, Duration ready, const Frame& frame) {
  Frame queued = frame;
  queued.channel = static_cast<std::uint8_t>(first_channel_ + bus);
  lines_[bus].Queue(ready, queued);
}

void Schedule::Step(Duration from, const Car& car, std::vector<Frame>& sent) {
  const Duration limit = from + kStep;
  for (Sender& sender : senders_) {
    for (; sender.next < limit; sender.next += sender.period) {
      const std::uint32_t spread = kMostJitterUs - kLeastJitterUs + 1;
      const auto wait = std::chrono::microseconds(kLeastJitterUs + jitter_.Below(spread));
      lines_[sender.row->bus].Queue(sender.next + wait, MakeFrame(sender, car));
    }
  }
  for (BusLine& line : lines_) line.Send(limit, start_, sent);
}

}  // namespace proofdrive::bench
