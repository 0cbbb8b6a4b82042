// One signal over time, or a part of it: time and value side by side.
//
// Which values. Exactly those that decoders::Decoder gives frame by frame: frames whose checksum
// fails, that are too short or carry another page bring none; absent ones are NaN; those out of
// range keep their number and are marked; `valid when` and computed signals follow the order of
// arrival of all frames they depend on, and the limits after which a silent frame is stale. A
// series says nothing between its values: how long one counts is for the caller to decide (three
// periods of its frame, elsewhere; see decoders/signals/freshness.h).
//
// Which time. Session time as in StreamClock: it never goes backward within a stream, and values
// of different series may be compared to within some tens of milliseconds.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "core/base/time.h"
#include "decoders/signals/value.h"

namespace proofdrive::analysis {

// One signal, or one element of a series of the definition files. Vectors are of equal length
// unless they are empty, and in order of session time.
struct Series {
  std::uint32_t signal = 0;     // index into Definitions::signals
  std::uint32_t element = 0;    // counted from 0; 0 for a scalar
  std::vector<Duration> at;     // session time
  std::vector<WallTime> times;  // of the frames, as they were recorded
  std::vector<double> numbers;  // physical, in the signal's unit; NaN when absent, and of text
  std::vector<decoders::Validity> validity;
  std::vector<std::int64_t> raw;   // of signals with states only; see Signal::StateOf
  std::vector<std::string> texts;  // of text signals only; empty where absent

  std::size_t size() const { return at.size(); }
  bool IsValid(std::size_t i) const { return validity[i] == decoders::Validity::kValid; }
  // Keeps the memory and what it is of.
  void Clear();
  // By session time; equal times keep their order.
  void Sort();
};

// What comes later, behind what is there.
void Append(const Series& later, Series& series);

}  // namespace proofdrive::analysis
