#include "output/text/session_info.h"

#include <algorithm>
#include <map>

#include "core/frame/frame.h"
#include "output/text/loss_text.h"

namespace proofdrive::output {
namespace {

std::optional<double> SecondsBetween(WallTime first, WallTime last) {
  return first < last ? std::optional<double>(ToSeconds(last - first)) : std::nullopt;
}

StreamSummary SummaryOf(const session::StreamInfo& stream) {
  StreamSummary summary{stream, std::nullopt};
  const auto seconds = SecondsBetween(stream.first, stream.last);
  if (seconds && stream.frames > 1) {
    summary.per_second = static_cast<double>(stream.frames - 1) / *seconds;
  }
  return summary;
}

struct Sum {
  ChannelSummary summary;
  double least_bits = 0;
  double most_bits = 0;
};

// The channels of the header, and those that only frames speak of (a damaged header).
std::map<std::uint8_t, Sum> EmptySums(const session::Reader& reader) {
  std::map<std::uint8_t, Sum> sums;
  for (const session::Channel& channel : reader.header().channels) {
    sums[channel.number].summary.channel = channel;
  }
  for (const session::StreamInfo& stream : reader.streams()) {
    session::Channel& channel = sums[stream.key.channel].summary.channel;
    channel.number = stream.key.channel;
  }
  return sums;
}

void AddStream(const session::StreamInfo& stream, Sum& sum) {
  const Frame frame = FrameOf(stream.key);
  const BitCount bits = WireBits(frame);
  const auto frames = static_cast<double>(stream.frames);
  ++sum.summary.streams;
  (frame.Is(kErrorMessage) ? sum.summary.error_messages : sum.summary.frames) += stream.frames;
  sum.least_bits += frames * bits.least;
  sum.most_bits += frames * bits.most;
  sum.summary.faster_data |= frame.Is(kBitRateSwitch);
}

void AddDrops(const session::Event& event, std::map<std::uint8_t, Sum>& sums, SessionInfo& info) {
  if (event.kind != session::EventKind::kDrops) return;
  const auto sum = event.channel ? sums.find(*event.channel) : sums.end();
  (sum == sums.end() ? info.unattributed_drops : sum->second.summary.drops) += event.count;
}

void FillChannels(const session::Reader& reader, SessionInfo& info) {
  std::map<std::uint8_t, Sum> sums = EmptySums(reader);
  for (const session::StreamInfo& stream : reader.streams()) {
    AddStream(stream, sums[stream.key.channel]);
  }
  for (const session::Event& event : reader.events()) AddDrops(event, sums, info);
  const auto seconds =
      info.first ? SecondsBetween(*info.first, *info.last) : std::optional<double>();
  for (auto& [number, sum] : sums) {
    if (seconds) {
      sum.summary.least_bits_per_s = sum.least_bits / *seconds;
      sum.summary.most_bits_per_s = sum.most_bits / *seconds;
    }
    info.channels.push_back(std::move(sum.summary));
  }
}

}  // namespace

session::State StateOf(const SessionInfo& info) {
  return AnyDataLoss(info.losses) ? session::State::kDamaged : info.state;
}

SessionInfo InfoOf(const session::RecordingReader& reader, const std::string& path) {
  SessionInfo info;
  info.path = path;
  info.parts = reader.parts();
  info.header = reader.header();
  info.state = reader.state();
  info.frames = reader.frame_count();
  info.file_bytes = reader.file_bytes();
  info.events = reader.events();
  info.losses = reader.losses();
  if (info.frames > 0) {
    info.first = reader.first_time();
    info.last = reader.last_time();
  }
  for (const session::StreamInfo& stream : reader.streams()) {
    info.streams.push_back(SummaryOf(stream));
  }
  std::stable_sort(info.streams.begin(), info.streams.end(),
                   [](const StreamSummary& a, const StreamSummary& b) {
                     return a.stream.frames > b.stream.frames;
                   });
  FillChannels(reader, info);
  return info;
}

}  // namespace proofdrive::output
