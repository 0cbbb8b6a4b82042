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

// Medians of consecutive windows from the start of the session; NaN where nothing valid came.
// A series: the median over all its elements.
using WindowRow = std::vector<float>;
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

  struct Open {
    bool wanted = true;
    std::size_t window = 0;
    std::vector<float> values;
  };
  std::vector<Open> open_;
  std::vector<WindowRow> rows_;
};

}  // namespace proofdrive::analysis
