// Why a displayed range is zero: which of its inputs makes it so.
#pragma once

#include <optional>
#include <string_view>

namespace proofdrive::analysis {

// What is known; nullopt = not recorded.
struct RangeInputs {
  std::optional<bool> charge_valid;
  std::optional<bool> energy_left;        // more than nothing
  std::optional<bool> discharge_allowed;  // limit above zero
  std::optional<bool> contactors_closed;
  std::optional<bool> fault_latched;  // crash latch, insulation fault, ...
};

enum class RangeCause {
  kNoCharge,      // no valid state of charge: data lost, communication, 12 V
  kEmpty,         // really empty, or a cell at its low limit
  kFault,         // withheld by a fault
  kLimited,       // limit by temperature, cell voltage or the estimator
  kNotConnected,  // withheld until the pack is connected
  kNoHistory,     // consumption history missing, or a value lost after a reset
  kUnknown,       // a needed signal is missing
};
// Judged in this order: charge, energy, limit and fault, contactors, rest.
RangeCause CauseOfZeroRange(const RangeInputs& inputs);
// One sentence.
std::string_view RangeCauseText(RangeCause cause);

}  // namespace proofdrive::analysis
