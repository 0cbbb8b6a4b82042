// The roles that checks and findings look for. A row here is all it takes to have a new one.
#pragma once

#include <span>
#include <string_view>

namespace proofdrive::decoders {

struct Role {
  std::string_view name;
  std::string_view unit;     // the one checks calculate in
  std::string_view meaning;  // one line
};

inline constexpr Role kRoles[] = {
    {"pack voltage", "V", "voltage at the cells, inside the contactors"},
    {"link voltage", "V", "voltage on the vehicle's side of the contactors"},
    {"pack current", "A", "current through the pack"},
    {"cell voltages", "V", "series: voltage of every cell or group of parallel cells"},
    {"cell temperatures", "degC", "series: temperatures in the pack"},
    {"module temperatures", "degC", "series: temperatures of the modules"},
    {"balancing", "", "series or signal: which cells are being balanced"},
    {"state of charge", "%", "charge left, of what the pack can hold"},
    {"state of health", "%", "what the pack can hold, of what it could when new"},
    {"displayed range", "km", "distance left as the driver is told"},
    {"isolation resistance", "kohm",
     "between the high-voltage system and the body; `insulation resistance` is read as the same"},
    {"positive voltage to body", "V", "between the body and the positive end of the pack"},
    {"negative voltage to body", "V", "between the negative end of the pack and the body"},
    {"contactor state", "", "states of the main contactors"},
    {"contactor request", "", "whether the contactors are asked to close: states"},
    {"contactor inhibit", "", "a reason why the contactors may not close: states yes or no"},
    {"precharge state", "", "states of the pre-charge circuit"},
    {"interlock", "", "high-voltage interlock: closed or open"},
    {"coolant pump", "", "states or speed of the pump in the pack loop"},
    {"coolant pump speed", "rpm", "speed of the pump in the pack loop"},
    {"coolant pump current", "A", "current of the pump in the pack loop"},
    {"coolant flow", "l/min", "flow in the pack loop"},
    {"coolant level", "", "states or amount of coolant"},
    {"coolant inlet temperature", "degC", "coolant where it enters the pack"},
    {"coolant outlet temperature", "degC", "coolant where it leaves the pack"},
    {"coolant pressure", "kPa", "pressure in the pack loop"},
    {"ambient temperature", "degC", "air outside"},
    {"supply voltage", "V", "the 12 V system"},
    {"supply current", "A", "current of the 12 V battery"},
    {"converter state", "", "states of the converter that feeds the 12 V system"},
    {"converter current", "A", "output of the converter that feeds the 12 V system"},
    {"vehicle speed", "km/h", "speed over ground"},
    {"motor speed", "rpm", "speed of the drive motor"},
    {"motor torque", "Nm", "torque of the drive motor"},
    {"motor temperature", "degC", "temperature of the drive motor"},
    {"inverter temperature", "degC", "temperature of the inverter"},
    {"accelerator", "%", "position of the accelerator pedal"},
    {"brake", "", "brake pedal: states or position"},
    {"gear", "", "states of the gear selector"},
    {"drive ready", "", "ready to drive: states"},
    {"charge state", "", "charging: states"},
    {"charge plug", "", "charge plug: states"},
    {"charge power limit", "kW", "charge power the pack allows"},
    {"discharge power limit", "kW", "discharge power the pack allows"},
    {"charge current limit", "A", "charge current the pack allows"},
    {"discharge current limit", "A", "discharge current the pack allows"},
    {"energy left", "kWh", "energy left in the pack"},
    {"odometer", "km", "distance driven in all"},
    {"crash latch", "", "a crash was stored and keeps the contactors open: states"},
    {"warning lamp", "", "a lamp of the cluster: states"},
};

constexpr std::span<const Role> AllRoles() { return kRoles; }

// nullptr: no such role.
constexpr const Role* FindRole(std::string_view name) {
  for (const Role& role : kRoles) {
    if (role.name == name) return &role;
  }
  return nullptr;
}

// Without the pointer: to compare one with nullptr is no constant expression for gcc with
// sanitizers.
constexpr bool IsRole(std::string_view name) {
  for (const Role& role : kRoles) {
    if (role.name == name) return true;
  }
  return false;
}

// The name of a role in a program: a name that is not in the table does not compile, where a signal
// would silently not be found.
class RoleName {
 public:
  consteval RoleName(const char* name) : name_(name) {  // NOLINT: literals stand for themselves
    if (!IsRole(name_)) ThereIsNoSuchRole();
  }
  constexpr operator std::string_view() const { return name_; }  // NOLINT
  friend constexpr bool operator==(std::string_view name, const RoleName& role) {
    return name == role.name_;
  }
  friend constexpr bool operator==(const RoleName& a, const RoleName& b) {
    return a.name_ == b.name_;
  }

 private:
  static void ThereIsNoSuchRole() {}  // not constexpr: to reach it is an error of the compiler

  std::string_view name_;
};

}  // namespace proofdrive::decoders
