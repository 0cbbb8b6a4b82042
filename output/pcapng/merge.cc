#include "output/pcapng/merge.h"

#include <algorithm>

namespace proofdrive::output {
namespace {

// Times from a file may be as far apart as the type can hold; a difference must not overflow.
bool FartherApartThan(WallTime earlier, WallTime later, Duration limit) {
  return earlier < WallTime::max() - limit && earlier + limit < later;
}

// from - to when that is positive, else zero.
Duration StepBack(WallTime from, WallTime to) {
  if (from <= to) return Duration(0);
  const bool fits = to >= WallTime(Duration(0)) || from < WallTime::max() + to.time_since_epoch();
  return fits ? from - to : Duration::max();
}

}  // namespace

void ChannelMerger::CountInput(const Frame& frame) {
  if (last_in_ && last_in_->channel != frame.channel && frame.time < last_in_->time) {
    ++stats_.cross_steps;
    const Duration step = StepBack(last_in_->time, frame.time);
    stats_.largest_cross_step = std::max(stats_.largest_cross_step, step);
  }
  last_in_ = Neighbour{frame.channel, frame.time};
}

std::optional<ChannelStep> ChannelMerger::StepOf(const Frame& frame) {
  std::optional<WallTime>& previous = channels_[frame.channel].previous;
  const Duration back = previous ? StepBack(*previous, frame.time) : Duration(0);
  previous = frame.time;
  if (back <= Duration(0)) return std::nullopt;
  ++stats_.channel_steps;
  stats_.largest_channel_step = std::max(stats_.largest_channel_step, back);
  return ChannelStep{frame.channel, frame.time, -back};
}

std::optional<ChannelStep> ChannelMerger::Add(const Frame& frame) {
  CountInput(frame);
  const std::optional<ChannelStep> step = StepOf(frame);
  std::optional<WallTime>& key = channels_[frame.channel].key;
  if (key && FartherApartThan(frame.time, *key, limits_.time)) Flush();
  key = key ? std::max(*key, frame.time) : frame.time;
  latest_key_ = std::max(latest_key_, *key);
  waiting_.push({*key, sequence_++, frame});
  while (waiting_.size() > limits_.frames ||
         (!waiting_.empty() && FartherApartThan(waiting_.top().key, latest_key_, limits_.time))) {
    HandOverTop();
  }
  return step;
}

void ChannelMerger::Flush() {
  while (!waiting_.empty()) HandOverTop();
  for (ChannelState& channel : channels_) channel.key.reset();
  latest_key_ = WallTime::min();
}

std::optional<ChannelStep> ChannelMerger::PassOn(const Frame& frame) {
  if (!waiting_.empty()) Flush();
  CountInput(frame);
  const std::optional<ChannelStep> step = StepOf(frame);
  HandOver(frame);
  return step;
}

void ChannelMerger::HandOverTop() {
  HandOver(waiting_.top().frame);
  waiting_.pop();
}

void ChannelMerger::HandOver(const Frame& frame) {
  if (last_out_ && last_out_->channel != frame.channel && frame.time < last_out_->time) {
    ++stats_.cross_steps_left;
  }
  last_out_ = Neighbour{frame.channel, frame.time};
  sink_(frame);
}

}  // namespace proofdrive::output
