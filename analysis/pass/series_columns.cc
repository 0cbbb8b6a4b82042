#include "analysis/pass/series_columns.h"

#include <algorithm>
#include <utility>

#include "analysis/session/definition_set.h"

namespace proofdrive::analysis {

using decoders::StreamRows;

SeriesColumns::SeriesColumns(const session::Reader& reader,
                             std::shared_ptr<const decoders::Definitions> definitions,
                             const std::vector<bool>& chosen)
    : decoder_(std::move(definitions)),
      index_(decoder_.definitions(), ChannelBuses(reader.header())),
      chosen_frame_(decoder_.definitions().frames.size(), -1) {
  for (std::uint32_t frame = 0; frame < chosen_frame_.size(); ++frame) {
    ChosenFrame one;
    one.frame = frame;
    for (const std::uint32_t signal : decoder_.definitions().frames[frame].signals) {
      if (chosen[signal] && CanRead(signal)) one.signals.push_back(signal);
    }
    if (one.signals.empty()) continue;
    chosen_frame_[frame] = static_cast<int>(frames_.size());
    frames_.push_back(std::move(one));
  }
  for (const session::StreamInfo& info : reader.streams()) {
    const int frame = index_.Find(info.key);
    if (frame >= 0 && chosen_frame_[static_cast<std::size_t>(frame)] >= 0) {
      keys_.push_back(info.key);
    }
  }
}

void SeriesColumns::TakeStreams(const session::FrameBlock& block, StreamClock& clock) {
  for (ChosenFrame& frame : frames_) frame.used = 0;
  for (const session::BlockStream& stream : block.streams()) {
    const int frame = index_.Find(stream.key);
    const int chosen = frame < 0 ? -1 : chosen_frame_[static_cast<std::size_t>(frame)];
    if (chosen < 0) continue;
    ChosenFrame& of = frames_[static_cast<std::size_t>(chosen)];
    if (of.used == of.streams.size()) of.streams.emplace_back();
    Stream& taken = of.streams[of.used++];
    taken.block = &stream;
    clock.Place(block, stream, taken.at);
    taken.rows = std::make_unique<StreamRows>(
        decoder_, of.frame, decoders::PayloadColumn{stream.bytes, stream.stride()});
  }
}

void SeriesColumns::Visit(const session::FrameBlock& block, StreamClock& clock,
                          const std::function<void(const Series&)>& visit) {
  TakeStreams(block, clock);
  for (const ChosenFrame& frame : frames_) {
    if (frame.used == 0) continue;
    for (const std::uint32_t signal : frame.signals) {
      const std::uint32_t count = decoder_.definitions().signals[signal].count;
      for (std::uint32_t element = 0; element < count; ++element) {
        Read(frame, signal, element);
        if (series_.size() > 0) visit(series_);
      }
    }
  }
}

void SeriesColumns::Read(const ChosenFrame& frame, std::uint32_t signal, std::uint32_t element) {
  series_.Clear();
  series_.signal = signal;
  series_.element = element;
  for (std::size_t i = 0; i < frame.used; ++i) {
    frame.streams[i].rows->Decode(signal, element, values_);
    Append(frame.streams[i]);
  }
  if (frame.used > 1) series_.Sort();
}

void SeriesColumns::Append(const Stream& stream) {
  const auto extend = [](auto& from, auto& to) {
    if (to.empty()) {
      std::swap(from, to);
    } else {
      to.insert(to.end(), from.begin(), from.end());
    }
  };
  const std::size_t before = series_.at.size();
  series_.at.resize(before + values_.rows.size());
  series_.times.resize(before + values_.rows.size());
  for (std::size_t i = 0; i < values_.rows.size(); ++i) {
    series_.at[before + i] = stream.at[values_.rows[i]];
    series_.times[before + i] = stream.block->time(values_.rows[i]);
  }
  extend(values_.numbers, series_.numbers);
  extend(values_.validity, series_.validity);
  extend(values_.raw, series_.raw);
  extend(values_.texts, series_.texts);
}

}  // namespace proofdrive::analysis
