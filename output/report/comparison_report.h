// The report of a comparison: one HTML file a buyer, an inspector or the owner can read and print.
#pragma once

#include <string>

#include "analysis/compare/comparison.h"
#include "output/report/recordings.h"

namespace proofdrive::output {

struct ComparisonReportInput {
  const analysis::Comparison& comparison;
  SessionFile before;
  SessionFile after;
  std::string software;  // "proofdrive 0.1.0"
};

// The same input gives the same text. Plots need findings with curves of kCurvePoints.
std::string ComparisonReport(const ComparisonReportInput& input);

}  // namespace proofdrive::output
