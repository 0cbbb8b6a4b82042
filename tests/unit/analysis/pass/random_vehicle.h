// Definitions and frames made at random: every kind of frame and signal that decoding tells apart.
#pragma once

#include <algorithm>
#include <random>
#include <string>
#include <vector>

#include "core/frame/frame.h"

namespace proofdrive::testing {

class RandomVehicle {
 public:
  explicit RandomVehicle(unsigned seed) : random_(seed) {}

  // The text of a definition file. Signals of a frame do not share bits.
  std::string Definitions() {
    std::string text = "byte order: big\nbuses: {one: {bitrate: 500000}, two: {bitrate: 500000}}\n";
    text += "frames:\n";
    const int frames = Pick(2, 5);
    for (int i = 0; i < frames; ++i) text += FrameText(i);
    text += "computed:\n  total: {formula: " + signals_.front() + " + " + signals_.back() + "}\n";
    return text;
  }

  // Frames in order of arrival on channels 0 (bus one), 1 (bus two) and 2 (no bus): jitter, frames
  // that are too short or too long, FD lengths, and sometimes a clock set back by more than any
  // silence of the busiest streams.
  std::vector<Frame> Frames(int count) {
    std::vector<Frame> frames;
    std::int64_t clock[3] = {0, 0, 0};
    std::int64_t now = 1'700'000'000'000'000;
    for (int i = 0; i < count; ++i) {
      now += Pick(0, 4'000);
      const int channel = Pick(0, 2);
      if (Pick(0, count) == 0) clock[channel] -= Pick(10'000'000, 20'000'000);
      if (Pick(0, 60) == 0) now += Pick(0, 3'000'000);
      const std::int64_t late = Pick(0, 8) == 0 ? Pick(0, 3'000) : 0;
      frames.push_back(OneFrame(channel, now - late + clock[channel]));
    }
    return frames;
  }

 private:
  struct Kind {
    std::uint32_t id = 0;
    bool extended = false;
    int length = 8;
    int checksum_at = -1;
  };

  int Pick(int low, int high) { return std::uniform_int_distribution<int>(low, high)(random_); }
  bool Chance(int percent) { return Pick(1, 100) <= percent; }
  template <class T>
  const T& One(const std::vector<T>& of) {
    return of[static_cast<std::size_t>(Pick(0, static_cast<int>(of.size()) - 1))];
  }

  std::string Where(int first, int last) {
    if (first != last) {
      return "bytes " + std::to_string(first) + "-" + std::to_string(last) +
             (Chance(50) ? " little" : " big");
    }
    const int low = Pick(0, 4);
    return "byte " + std::to_string(first) + " bits " + std::to_string(low) + "-" +
           std::to_string(Pick(low + 3, 7));
  }

  std::string Numbers(int bits) {
    std::string keys;
    if (Chance(50)) keys += ", scale: 0.1, offset: -4";
    if (Chance(40)) keys += ", signed: yes";
    if (Chance(40)) keys += ", absent: [0, 1]";
    if (Chance(40)) keys += ", range: -10..100";
    if (Chance(30)) keys += ", states: {0: a, 1: b}";
    if (bits == 32 && Chance(50)) keys = ", type: float32";
    if (bits == 64 && Chance(50)) keys = ", type: float64, range: 0..1000";
    return keys;
  }

  // One signal of the bytes, `deep` spaces in. May be valid only when another is small.
  std::string SignalText(int first, int last, int deep) {
    const std::string pad(static_cast<std::size_t>(deep), ' ');
    if (first != last && Chance(10)) {
      return pad + "t" + std::to_string(texts_++) + ": {where: bytes " + std::to_string(first) +
             "-" + std::to_string(last) + ", type: text}\n";
    }
    std::string keys = "where: " + Where(first, last);
    keys += Numbers(first == last ? 1 : (last - first + 1) * 8);
    if (!signals_.empty() && Chance(20)) keys += ", valid when: " + One(signals_) + " < 40";
    signals_.push_back("s" + std::to_string(signals_.size()));
    return pad + signals_.back() + ": {" + keys + "}\n";
  }

  // Signals side by side in [begin, end).
  std::string SignalsText(int begin, int end, int deep) {
    const std::string pad(static_cast<std::size_t>(deep), ' ');
    std::string text = pad + "signals:\n";
    for (int at = begin; at < end;) {
      const int last = std::min(end - 1, at + One<int>({0, 0, 1, 2, 3, 7}));
      text += SignalText(at, last, deep + 2);
      at = last + 1;
    }
    return text;
  }

  std::string SeriesText(int begin, int end) {
    const int per_page = std::max(1, (end - begin) / 2);
    const std::string name = "c" + std::to_string(series_++);
    return "    series:\n      " + name + ": {first: byte " + std::to_string(begin) +
           ", each: 2 bytes, per page: " + std::to_string(per_page) +
           ", count: " + std::to_string(Pick(per_page, per_page * 5)) +
           (Chance(50) ? ", first page: 1" : "") +
           (Chance(20) ? std::string(", type: text") : Numbers(16)) + "}\n";
  }

  std::string FrameText(int number) {
    Kind kind;
    kind.extended = Chance(30);
    kind.id = static_cast<std::uint32_t>(0x100 + number * 0x10);
    kind.length = One<int>({8, 8, 8, 12, 16, 64});
    std::string text = "  f" + std::to_string(number) + ":\n    id: " + std::to_string(kind.id);
    if (kind.extended) text += "\n    extended: yes";
    if (Chance(20)) text += std::string("\n    mask: ") + (kind.extended ? "0x1FFFFFF8" : "0x7F8");
    if (Chance(50)) text += std::string("\n    bus: ") + (Chance(50) ? "one" : "two");
    if (Chance(50)) text += "\n    every: 20 ms";
    text += "\n";
    int end = kind.length;
    if (Chance(40)) {
      kind.checksum_at = --end;
      text += "    length: " + std::to_string(kind.length) + "\n    checksum: {where: byte " +
              std::to_string(end) + ", kind: xor, over: bytes 0-" + std::to_string(end - 1) + "}\n";
    }
    text += Chance(50) ? PagedText(end) : SignalsText(0, end, 4);
    kinds_.push_back(kind);
    return text;
  }

  std::string PagedText(int end) {
    std::string text = "    page: {where: byte 0 bits 0-2}\n";
    text += "    signals:\n" + SignalText(1, 1, 6);
    const int half = std::max(4, end / 2);
    if (end - half >= 2) text += SeriesText(half, end);
    text += "    pages:\n      3:\n" + SignalsText(2, half, 8);
    text += "      5:\n        page: {where: byte 2 bits 0-1}\n        pages:\n";
    text += "          1:\n" + SignalsText(3, half, 12);
    text += "          2:\n            page: {where: byte 2 bits 4-5}\n            pages:\n";
    return text + "              1:\n" + SignalsText(3, half, 16);
  }

  Frame OneFrame(int channel, std::int64_t micros) {
    Frame frame;
    frame.time = WallTime(std::chrono::microseconds(micros));
    frame.channel = static_cast<std::uint8_t>(channel);
    const Kind& kind = One(kinds_);
    frame.id = kind.id + (Chance(10) ? 3U : 0U);
    if (kind.extended) frame.flags |= kExtendedId;
    int length = kind.length;
    if (Chance(10)) length = One<int>({0, 1, 2, 3, 5, 7, 8});
    if (length > 8) frame.flags |= kFlexibleData;
    if (length <= 8 && Chance(2)) frame.flags |= kRemote;
    frame.length = static_cast<std::uint8_t>(length);
    if (frame.Is(kRemote)) return frame;
    for (int i = 0; i < length; ++i) {
      frame.data[static_cast<std::size_t>(i)] =
          static_cast<std::uint8_t>(Chance(40) ? Pick(0, 3) : Pick(0, 255));
    }
    if (kind.checksum_at >= 0 && kind.checksum_at < length && Chance(90)) {
      std::uint8_t sum = 0;
      for (int i = 0; i < kind.checksum_at; ++i) {
        sum = static_cast<std::uint8_t>(sum ^ frame.data[static_cast<std::size_t>(i)]);
      }
      frame.data[static_cast<std::size_t>(kind.checksum_at)] = sum;
    }
    return frame;
  }

  std::mt19937 random_;
  std::vector<std::string> signals_;  // numbers
  int texts_ = 0;
  int series_ = 0;
  std::vector<Kind> kinds_;
};

}  // namespace proofdrive::testing
