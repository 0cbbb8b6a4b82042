#include "analysis/session/bus_record.h"

#include <algorithm>

namespace proofdrive::analysis {

double BusRecord::Load() const {
  const double seconds = ToSeconds(last - first);
  if (bitrate == 0 || seconds <= 0) return 0;
  return static_cast<double>(bits) / (bitrate * seconds);
}

double BusRecord::PeakLoad() const {
  return bitrate == 0 ? 0 : static_cast<double>(busiest_bits) / bitrate;
}

void BusRecorder::Add(const Frame& frame, Duration at) {
  State& state = states_[frame.channel];
  BusRecord& record = state.record;
  if (frame.Is(kErrorMessage)) {
    ++record.error_messages;
    return;
  }
  if (!state.used) {
    state.used = true;
    record.first = at;
  } else if (at - record.last > record.longest_silence) {
    record.longest_silence = at - record.last;
    record.silence_at = record.last;
  }
  record.last = at;
  ++record.frames;
  const std::uint64_t bits = WireBits(frame).least;
  record.bits += bits;
  if (at >= state.second_end) {
    state.second_bits = 0;
    state.second_end = (at / std::chrono::seconds(1) + 1) * std::chrono::seconds(1);
  }
  state.second_bits += bits;
  record.busiest_bits = std::max(record.busiest_bits, state.second_bits);
}

std::vector<BusRecord> BusRecorder::Finish(const session::Header& header) const {
  std::vector<BusRecord> records;
  for (std::size_t i = 0; i < states_.size(); ++i) {
    BusRecord record = states_[i].record;
    record.channel = static_cast<std::uint8_t>(i);
    const auto channel =
        std::find_if(header.channels.begin(), header.channels.end(),
                     [&](const session::Channel& one) { return one.number == record.channel; });
    if (channel != header.channels.end()) record.bitrate = channel->bitrate;
    const bool named = channel != header.channels.end();
    if (named || states_[i].used || record.error_messages > 0) records.push_back(record);
  }
  return records;
}

}  // namespace proofdrive::analysis
