#include "tests/fleet/write/frames.h"

#include <algorithm>
#include <cmath>

namespace proofdrive::fleet {
namespace {

constexpr std::uint32_t kFirstId = 0x110;

std::uint64_t RawOf(const SentSignal& signal, double value) {
  if (!signal.states.empty()) return static_cast<std::uint64_t>(value);
  const Sensor& sensor = signal.sensor;
  const double sent = (value - sensor.offset) / sensor.factor;
  return static_cast<std::uint64_t>(std::llround((sent - sensor.low) / sensor.step));
}

void Put(std::uint64_t raw, int bytes, std::size_t at, Frame& frame) {
  for (int i = bytes - 1; i >= 0; --i) {
    frame.data[at + static_cast<std::size_t>(i)] = static_cast<std::uint8_t>(raw & 0xFF);
    raw >>= 8;
  }
}

Frame Blank(std::size_t number, WallTime start, double at_s) {
  Frame frame;
  frame.time = start + FromSeconds(at_s);
  frame.id = FrameId(number);
  frame.length = 8;
  return frame;
}

void AddScalar(const SentSignal& signal, std::size_t number, WallTime start,
               std::vector<Frame>& frames) {
  const SentTrack& track = signal.elements.front();
  for (std::size_t i = 0; i < track.time_s.size(); ++i) {
    Frame frame = Blank(number, start, track.time_s[i]);
    Put(RawOf(signal, track.value[i]), PlaceOf(signal).bytes, 0, frame);
    frames.push_back(frame);
  }
}

// The elements of one page have the same times.
void AddPages(const SentSignal& signal, std::size_t number, WallTime start,
              std::vector<Frame>& frames) {
  const auto per_page = static_cast<std::size_t>(signal.per_page);
  for (std::size_t first = 0; first < signal.elements.size(); first += per_page) {
    const std::size_t last = std::min(first + per_page, signal.elements.size());
    const SentTrack& track = signal.elements[first];
    for (std::size_t i = 0; i < track.time_s.size(); ++i) {
      Frame frame = Blank(number, start, track.time_s[i]);
      frame.data[0] = static_cast<std::uint8_t>(first / per_page);
      for (std::size_t j = first; j < last; ++j) {
        Put(RawOf(signal, signal.elements[j].value[i]), 2, 1 + 2 * (j - first), frame);
      }
      frames.push_back(frame);
    }
  }
}

}  // namespace

Place PlaceOf(const SentSignal& signal) {
  if (!signal.states.empty()) return {1};
  const double range = (signal.sensor.high - signal.sensor.low) / signal.sensor.step;
  return {range > 65535 ? 4 : 2};
}

std::uint32_t FrameId(std::size_t number) {
  return kFirstId + 8 * static_cast<std::uint32_t>(number);
}

std::vector<Frame> FramesOf(const Sent& sent, WallTime start) {
  std::vector<Frame> frames;
  for (std::size_t i = 0; i < sent.signals.size(); ++i) {
    if (sent.signals[i].is_series) {
      AddPages(sent.signals[i], i, start, frames);
    } else {
      AddScalar(sent.signals[i], i, start, frames);
    }
  }
  std::stable_sort(frames.begin(), frames.end(),
                   [](const Frame& a, const Frame& b) { return a.time < b.time; });
  return frames;
}

}  // namespace proofdrive::fleet
