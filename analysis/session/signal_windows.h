// Signals as one value per stretch of time: what two recordings are compared by, since neighbouring
// values of a bus say the same thing again and again.
#pragma once

#include <cstdint>
#include <limits>
#include <memory>
#include <vector>

#include "decoders/model/definitions.h"
#include "decoders/signals/value.h"

namespace proofdrive::analysis {

inline constexpr Duration kWindow = std::chrono::seconds(5);

// Medians of consecutive windows from the start of the session; NaN where nothing valid came. Of a
// session of more than kMostKeptWindows every second window, every fourth and so on, the same of
// all signals: more would say no more. A series: the median over all its elements.
using WindowRow = std::vector<float>;
inline constexpr std::size_t kMostKeptWindows = 8192;
inline constexpr float kEmptyWindow = std::numeric_limits<float>::quiet_NaN();

class WindowRecorder {
 public:
  explicit WindowRecorder(const decoders::Definitions& definitions);

  // `at`: session time, not decreasing.
  void Add(const decoders::Value& value, Duration at);
  // One row per signal; empty for text and for signals of states only. Rows may be of different
  // length: windows after the last value are left out.
  std::vector<WindowRow> Finish();

 private:
  void Close(std::uint32_t signal);
  void Widen();

  struct Open {
    bool wanted = true;
    std::size_t window = 0;  // of those that are kept
    std::vector<float> values;
  };
  unsigned shift_ = 0;  // every 2^shift_-th window is kept
  std::vector<Open> open_;
  std::vector<WindowRow> rows_;
};

}  // namespace proofdrive::analysis
