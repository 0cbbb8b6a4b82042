// The plots of a report: data for the script, and the places they are drawn in.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "analysis/checking/check_result.h"
#include "analysis/findings/session_findings.h"
#include "output/sheet/html.h"

namespace proofdrive::output {

// A stretch of session time to shade.
struct ChartSpan {
  Duration from{0};
  Duration to{0};
};

// Something at one time.
struct ChartMark {
  Duration at{0};
  std::string text;
};

// A level to draw across, such as the limit of a warning.
struct ChartLevel {
  double value = 0;
  std::string text;
};

// One signal of one session.
struct Chart {
  const decoders::Signal* signal = nullptr;        // not null
  const analysis::SignalRecord* record = nullptr;  // not null; with a curve
  std::string side;    // plots of one side share the time axis: "before", "after"; may be empty
  Duration length{0};  // of the session
  Duration gap{0};     // a longer silence breaks the line
  double low = 0, high = 0;  // of the value axis; equal = fit to the curve
  std::vector<ChartSpan> shaded;
  std::vector<ChartMark> marks;
  std::vector<ChartLevel> levels;
};

class Charts {
 public:
  // The place to draw `chart` in; its data are kept for Data().
  Html Add(const Chart& chart);
  // A curve of a check: over time, over the numbers of cells, or loose points.
  // REQUIRES: `x` and `y` have as many values, at least one; `expected` as many or none.
  Html Add(const analysis::Curve& curve);
  // All data as JSON that may stand within a script element.
  std::string Data() const { return "[" + data_ + "]"; }
  std::size_t count() const { return count_; }

 private:
  Html Place(const std::string& label);
  std::string NextId() const { return "plot-" + std::to_string(count_ + 1); }
  void Keep(const std::string& json);

  std::string data_;
  std::size_t count_ = 0;
};

// Text as a JSON string that cannot end the script element it stands in.
std::string ScriptString(std::string_view text);

}  // namespace proofdrive::output
