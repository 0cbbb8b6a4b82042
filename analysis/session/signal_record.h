// What every signal did in one session: counts, extremes, states and a curve to plot.
#pragma once

#include <cstdint>
#include <limits>
#include <memory>
#include <vector>

#include "analysis/session/envelope.h"
#include "decoders/model/definitions.h"
#include "decoders/signals/value.h"

namespace proofdrive::analysis {

// A value and where it was.
struct Extreme {
  double value = 0;
  Duration at{0};             // session time of the first such value
  std::uint32_t element = 0;  // of a series, from 0
};

// A series counts all its elements together; its curve runs from the lowest to the highest element.
struct SignalRecord {
  std::uint64_t values = 0;  // in all: valid, absent and out of range
  std::uint64_t absent = 0;  // of them
  std::uint64_t out_of_range = 0;
  // Of the valid values; meaningless without any (see HasNumbers).
  Extreme lowest{std::numeric_limits<double>::infinity(), Duration(0), 0};
  Extreme highest{-std::numeric_limits<double>::infinity(), Duration(0), 0};
  double last = 0;
  std::vector<std::uint64_t> state_counts;  // one per Signal::states
  std::uint64_t unnamed = 0;                // valid values that are none of the states
  std::vector<EnvelopePoint> curve;         // empty unless asked for
  Duration curve_step{0};                   // width of its stretches

  bool HasNumbers() const { return lowest.value <= highest.value; }
};

class SignalRecorder {
 public:
  // `curve_points`: most points of a curve, even; 0 = no curves.
  SignalRecorder(std::shared_ptr<const decoders::Definitions> definitions,
                 std::size_t curve_points);

  void Add(const decoders::Value& value, Duration at);
  // One per Definitions::signals. The recorder is not used afterwards.
  std::vector<SignalRecord> Finish();

 private:
  void CountState(const decoders::Signal& signal, std::int64_t raw, SignalRecord& record) const;

  std::shared_ptr<const decoders::Definitions> definitions_;
  std::vector<SignalRecord> records_;
  std::vector<Envelope> curves_;  // one per signal, or none at all
};

}  // namespace proofdrive::analysis
