#include "analysis/agreement/definitions_check.h"

#include "analysis/agreement/agreement.h"
#include "analysis/agreement/counts.h"
#include "analysis/agreement/temperatures.h"
#include "analysis/agreement/voltages.h"

namespace proofdrive::analysis {

CheckResult CheckDefinitions(CheckInput& input, const CheckSettings& settings) {
  Agreement agreement(input, settings);
  // What is held side by side must be of one moment.
  if (input.part != CheckInput::Part::kThinned) {
    CompareVoltages(agreement);
    CompareCounts(agreement);
    CompareTemperatures(agreement);
  }
  return agreement.Take();
}

}  // namespace proofdrive::analysis
