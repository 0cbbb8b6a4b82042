#include "output/words/measured_words.h"

namespace proofdrive::output {

std::string MeasuredText(const session::Measurement& measurement) {
  return FormatWallTime(measurement.at, 0) + " " + measurement.text +
         (measurement.how.empty() ? "" : " (" + measurement.how + ")");
}

}  // namespace proofdrive::output
