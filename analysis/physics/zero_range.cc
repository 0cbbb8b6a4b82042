#include "analysis/physics/zero_range.h"

namespace proofdrive::analysis {

RangeCause CauseOfZeroRange(const RangeInputs& inputs) {
  if (!inputs.charge_valid) return RangeCause::kUnknown;
  if (!*inputs.charge_valid) return RangeCause::kNoCharge;
  if (inputs.energy_left && !*inputs.energy_left) return RangeCause::kEmpty;
  const bool fault = inputs.fault_latched.value_or(false);
  if (inputs.discharge_allowed && !*inputs.discharge_allowed) {
    return fault ? RangeCause::kFault : RangeCause::kLimited;
  }
  if (!inputs.discharge_allowed && fault) return RangeCause::kFault;
  if (inputs.contactors_closed && !*inputs.contactors_closed) return RangeCause::kNotConnected;
  if (!inputs.energy_left || !inputs.discharge_allowed || !inputs.contactors_closed) {
    return RangeCause::kUnknown;
  }
  return RangeCause::kNoHistory;
}

std::string_view RangeCauseText(RangeCause cause) {
  switch (cause) {
    case RangeCause::kNoCharge:
      return "there is no valid state of charge (lost data, communication, 12 V)";
    case RangeCause::kEmpty:
      return "the pack is empty, or a cell is at its low limit";
    case RangeCause::kFault:
      return "it is withheld by a fault that is set";
    case RangeCause::kLimited:
      return "discharge is limited to nothing without a fault in sight: temperature, cell voltage "
             "or the estimate of charge";
    case RangeCause::kNotConnected:
      return "the pack is not connected; range is withheld until it is";
    case RangeCause::kNoHistory:
      return "everything it needs is there: the history of consumption is missing, or a value was "
             "lost in a reset";
    case RangeCause::kUnknown:
      return "not enough of what it is made from was recorded";
  }
  return "";
}

}  // namespace proofdrive::analysis
