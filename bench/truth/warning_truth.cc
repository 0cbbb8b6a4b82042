#include "bench/truth/warning_truth.h"

#include <algorithm>

namespace proofdrive::bench {
namespace {

bool PumpRuns(const Car& car) {
  return car.loop().pump() == PumpState::kLow || car.loop().pump() == PumpState::kHigh;
}
bool PumpHigh(const Car& car) { return car.loop().pump() == PumpState::kHigh; }
bool PumpFault(const Car& car) { return car.loop().pump() == PumpState::kFault; }
bool LevelLow(const Car& car) { return car.loop().level() != CoolantLevel::kFull; }
bool PumpUnloaded(const Car& car) {
  const double krpm = car.loop().speed_rpm() / 1000;
  return krpm > 1.5 && car.loop().power_w() < 0.6 * 0.98 * krpm * krpm * krpm;
}
bool IsolationBelow500(const Car& car) {
  return car.insulation().monitor_ready() &&
         car.insulation().reported_ohm() < 500 * kWorkingVoltage;
}
bool IsolationBelow100(const Car& car) {
  return car.insulation().monitor_ready() &&
         car.insulation().reported_ohm() < 100 * kWorkingVoltage;
}
bool Closed(const Car& car) { return car.contactors().closed(); }
bool Refused(const Car& car) {
  return car.drive_requested() && car.contactors().state() == ContactorState::kOpen;
}
bool InterlockOpen(const Car& car) { return car.interlock_open(); }
bool InterlockClosed(const Car& car) { return !car.interlock_open(); }
bool Crash(const Car& car) { return car.restraint_ready() && car.crash_latched(); }
bool RestraintReady(const Car& car) { return car.restraint_ready(); }
bool SupplyLow(const Car& car) { return car.supply().voltage() < 11.8; }
bool SupplyCharged(const Car& car) { return car.supply().voltage() > 13.2; }
bool RangeZero(const Car& car) {
  return car.DisplayedRange() < 0.5 && car.cells().MeanCharge() > 0.10;
}
bool Moving(const Car& car) { return car.drive().speed_mps() > 5 / 3.6; }
bool ChargeRefused(const Car& car) { return car.charge_state() == ChargeState::kRefused; }
bool Charging(const Car& car) { return car.charge_state() == ChargeState::kCharging; }
bool Unbalanced(const Car& car) { return car.cells().Spread() > 0.030; }
bool AtRest(const Car& car) { return car.discharge_a() < 3 && car.discharge_a() > -3; }
bool Hot(const Car& car) { return car.heat().cells_c() > 55; }
bool WorksHard(const Car& car) { return car.discharge_a() > 100; }
bool Moist(const Car& car) { return car.insulation().humidity() > 80; }
bool Dry(const Car& car) { return car.insulation().humidity() < 60; }

constexpr WarningRule kRules[] = {
    {"coolant_low", "coolant_controller", LevelLow, 2, 5, PumpRuns, 30},
    {"coolant_air", "coolant_controller", PumpUnloaded, 3, 10, PumpHigh, 60},
    {"coolant_pump_fault", "coolant_controller", PumpFault, 0.5, 5, PumpRuns, 45},
    {"isolation_low", "insulation_monitor", IsolationBelow500, 3, 10, Closed, 30},
    {"isolation_fault", "insulation_monitor", IsolationBelow100, 3, 10, Closed, 30},
    {"moisture_in_pack", "moisture_sensor", Moist, 5, 30, Dry, 60},
    {"contactors_refused", "pack_controller", Refused, 3, 1, Closed, 10},
    {"interlock_open", "pack_controller", InterlockOpen, 0.5, 2, InterlockClosed, 60},
    {"crash_latched", "restraint_unit", Crash, 1, 1, RestraintReady, 10},
    {"supply_low", "converter", SupplyLow, 5, 5, SupplyCharged, 30},
    {"range_withheld", "cluster", RangeZero, 5, 2, Moving, 30},
    {"charge_refused", "charge_controller", ChargeRefused, 1, 2, Charging, 60},
    {"cell_imbalance", "pack_controller", Unbalanced, 5, 30, AtRest, 30},
    {"pack_hot", "pack_controller", Hot, 2, 10, WorksHard, 10},
};

}  // namespace

std::span<const WarningRule> WarningRules() { return kRules; }

void WarningTruth::Observe(const Car& car) {
  const bool condition = rule_.when(car);
  held_s_ = condition != on_ ? held_s_ + kStepSeconds : 0;
  const double needed = on_ ? rule_.clear_for_s : rule_.for_s;
  if (condition != on_ && held_s_ + kStepSeconds / 2 >= needed) {
    on_ = condition;
    held_s_ = 0;
    if (on_) spans_.push_back({car.time_s(), car.time_s()});
  }
  if (on_) spans_.back().to_s = car.time_s();
  // Only time the warning was off proves anything.
  proven_s_ = !on_ && rule_.proven(car) ? proven_s_ + kStepSeconds : 0;
  proven_longest_s_ = std::max(proven_longest_s_, proven_s_);
}

}  // namespace proofdrive::bench
