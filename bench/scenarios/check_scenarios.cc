// For each check of `proofdrive check`: a fault that trips it, something that only looks like it,
// and a healthy run. Sizes are chosen.
#include "bench/scenarios/scenarios.h"

namespace proofdrive::bench {
namespace {

// A dry, bled, warm car with everything in order; high voltage comes up after ten seconds.
Scenario Healthy(std::string_view name, double seconds = 150) {
  Scenario s;
  s.name = name;
  s.description = "nothing is wrong";
  s.seconds = seconds;
  s.charge = 0.60;
  s.cells_c = 22;
  s.ambient_c = 20;
  s.insulation = {.wet_ml = 0.3, .leak_place = 0.44};
  s.supply = {.charge = 0.8, .ohm = 0.018};
  s.timeline = {{2, Action::kPumpLow}, {10, Action::kRequestDrive}, {30, Action::kPumpHigh}};
  return s;
}

// Loads change every eight seconds, both ways.
std::vector<LoadStep> Steps(double from_s, double to_s, double amps) {
  std::vector<LoadStep> steps;
  int i = 0;
  for (double at = from_s; at < to_s; at += 8, ++i) {
    steps.push_back({at, i % 4 == 0 ? amps : i % 4 == 2 ? -0.6 * amps : 0});
  }
  steps.push_back({to_s, 0});
  return steps;
}

Scenario Loaded(std::string_view name) {
  Scenario s = Healthy(name);
  s.load = Steps(20, 140, 110);
  return s;
}

// Signals
Scenario SignalsFault() {
  Scenario s = Loaded("signals-fault");
  s.description = "the current is sent with the wrong sign and one cell is frozen";
  s.defects.sender.current_sign_wrong = true;
  s.defects.sender.frozen_cell = 30;
  return s;
}
Scenario SignalsAlike() {
  Scenario s = Healthy("signals-alike", 90);
  s.description = "parked: current and cells hardly move, which is no fault";
  s.timeline = {{2, Action::kPumpLow}};
  return s;
}

// Insulation
Scenario InsulationFault() {
  Scenario s = Healthy("insulation-fault");
  s.description = "coolant wets the inside of the pack";
  s.insulation.wet_ml = 45;
  return s;
}
Scenario InsulationAlike() {
  Scenario s = Healthy("insulation-alike");
  s.description = "the monitor reads low for a while after each switching";
  s.defects.monitor_dip = 0.75;
  s.timeline.push_back({60, Action::kReleaseDrive});
  s.timeline.push_back({75, Action::kRequestDrive});
  return s;
}

// Cooling
Scenario CoolingFault() {
  Scenario s = Healthy("cooling-fault");
  s.description = "air passes through the pump";
  s.coolant = {.litres = 4.42, .air_litres = 1.3, .leak_ml_min = 0};
  return s;
}
Scenario CoolingAlike() {
  Scenario s = Healthy("cooling-alike");
  s.description = "the pump is told to change its speed again and again";
  for (double at = 40; at < 150; at += 20) {
    s.timeline.push_back({at, Action::kPumpLow});
    s.timeline.push_back({at + 10, Action::kPumpHigh});
  }
  return s;
}
// A fast charge makes the heat.
Scenario CoolingBlocked() {
  Scenario s = Healthy("cooling-blocked", 700);
  s.description = "a kinked hose lets little coolant through";
  s.charge = 0.2;
  s.coolant.blocked = 0.8;
  s.load = {{40, -250}};
  return s;
}
Scenario CoolingHeat() {
  Scenario s = CoolingBlocked();
  s.name = "cooling-heat";
  s.description = "a fast charge makes heat, and the coolant carries it";
  s.coolant.blocked = 0;
  return s;
}
Scenario CoolingSelfHeating() {
  Scenario s = Healthy("cooling-self-heating", 300);
  s.description = "parked, one place in the pack gets warmer by itself";
  s.defects.hot = {.sensor = 13, .kelvin = 0, .kelvin_per_minute = 0.8, .neighbours = true};
  s.timeline = {};
  return s;
}

// Cell balance
Scenario BalanceFault() {
  Scenario s = Healthy("balance-fault");
  s.description = "a film of coolant has drained four neighbouring cells";
  s.drain = {.first = 40, .count = 4, .deficit = 0.06, .film_ohm = 0};
  return s;
}
Scenario BalanceAlike() {
  Scenario s = Loaded("balance-alike");
  s.description = "cells differ under load only: one has more resistance";
  s.defects.cell = {.index = 20, .ohm_factor = 2};
  return s;
}
Scenario BalanceSense() {
  Scenario s = Healthy("balance-sense");
  s.description = "a sense lead makes one cell read high and the next as much too low";
  s.defects.sender.sense_lead = 50;
  s.defects.sender.sense_v = 0.03;
  return s;
}

// Internal resistance
Scenario ResistanceFault() {
  Scenario s = Loaded("resistance-fault");
  s.description = "one cell of a parallel pair is lost";
  s.defects.cell = {.index = 20, .ohm_factor = 2, .charge = 0, .capacity_factor = 0.5};
  return s;
}
Scenario ResistanceAlike() {
  Scenario s = Loaded("resistance-alike");
  s.description = "a cold pack: every cell has more resistance";
  s.cells_c = 6;
  s.ambient_c = 5;
  return s;
}
Scenario ResistanceJoint() {
  Scenario s = Loaded("resistance-joint");
  s.description = "a loose joint in the string";
  s.defects.joint_ohm = 0.030;
  return s;
}

// Pre-charge and contactors: up, down, up again.
Scenario Switching(std::string_view name) {
  Scenario s = Healthy(name, 120);
  s.timeline.push_back({40, Action::kReleaseDrive});
  s.timeline.push_back({80, Action::kRequestDrive});
  return s;
}
Scenario ContactorsFault() {
  Scenario s = Switching("contactors-fault");
  s.description = "both contactors are welded";
  s.defects.contactor.welded = true;
  return s;
}
Scenario ContactorsAlike() {
  Scenario s = Switching("contactors-alike");
  s.description = "the link falls slowly because its active discharge does not work";
  s.defects.contactor.no_bleed = true;
  return s;
}
Scenario ContactorsPole() {
  Scenario s = Switching("contactors-pole");
  s.description = "the contactor beside the pre-charge resistor is welded";
  s.defects.contactor.one_welded = true;
  return s;
}
Scenario ContactorsLoad() {
  Scenario s = Switching("contactors-load");
  s.description = "a load left on keeps the pre-charge from getting there";
  s.defects.contactor.load_ohm = 700;
  return s;
}

// Capacity: rest, a third of the charge taken out, rest.
Scenario Emptied(std::string_view name) {
  Scenario s = Healthy(name, 740);
  s.charge = 0.85;
  s.load = {{180, 400}, {500, 0}};
  s.silent_units = {"chassis_controller", "inverter", "body_controller", "charge_controller"};
  return s;
}
Scenario CapacityFault() {
  Scenario s = Emptied("capacity-fault");
  s.description = "the cells have aged to 65 % of their capacity";
  s.defects.capacity_factor = 0.65;
  return s;
}
Scenario CapacityAlike() {
  Scenario s = Emptied("capacity-alike");
  s.description = "the charge shown is wrong, the pack is not";
  s.defects.sender.charge_shift = -0.2;
  return s;
}

// 12 V supply
Scenario SupplyFault() {
  Scenario s = Healthy("supply-fault");
  s.description = "the converter stops while high voltage is up";
  s.supply.converter_fails_s = 30;
  return s;
}
Scenario SupplyAlike() {
  Scenario s = Healthy("supply-alike");
  s.description = "high voltage never comes up, so the converter does not work either";
  s.timeline = {{2, Action::kPumpLow}};
  return s;
}

// Range
Scenario RangeFault() {
  Scenario s = Healthy("range-fault");
  s.description = "range 0 although nothing withholds it: its history was lost";
  s.learn_m = 2000;
  return s;
}
Scenario RangeAlike() {
  Scenario s = Healthy("range-alike");
  s.description = "nearly empty: a short range is right";
  s.charge = 0.04;
  return s;
}

// Interlock and crash
Scenario InterlockFault() {
  Scenario s = Healthy("interlock-fault");
  s.description = "a connector moves while high voltage is up: the contactors open";
  s.timeline.push_back({70, Action::kInterlockOpens});
  s.timeline.push_back({72, Action::kReleaseDrive});
  s.timeline.push_back({90, Action::kInterlockCloses});
  return s;
}
Scenario InterlockAlike() {
  Scenario s = Healthy("interlock-alike");
  s.description = "the loop opens only after high voltage was switched off";
  s.timeline.push_back({60, Action::kReleaseDrive});
  s.timeline.push_back({70, Action::kInterlockOpens});
  s.timeline.push_back({85, Action::kInterlockCloses});
  return s;
}

// Standby; hours are squeezed into minutes, so loads are large.
Scenario Parked(std::string_view name) {
  Scenario s = Healthy(name, 400);
  s.timeline = {};
  return s;
}
Scenario StandbyFault() {
  Scenario s = Parked("standby-fault");
  s.description = "something keeps taking from the pack while the car is parked";
  s.defects.parked_a = 2.5;
  return s;
}
Scenario StandbyAlike() {
  Scenario s = Parked("standby-alike");
  s.description = "the charge shown settles after parking; nothing is taken";
  s.defects.sender.charge_rebase = 0.01;
  return s;
}

}  // namespace

const std::vector<Scenario>& CheckScenarioTable() {
  static const std::vector<Scenario> table = {
      SignalsFault(),
      SignalsAlike(),
      Loaded("signals-healthy"),
      InsulationFault(),
      InsulationAlike(),
      Healthy("insulation-healthy"),
      CoolingFault(),
      CoolingAlike(),
      Healthy("cooling-healthy"),
      CoolingBlocked(),
      CoolingHeat(),
      CoolingSelfHeating(),
      BalanceFault(),
      BalanceAlike(),
      Healthy("balance-healthy"),
      BalanceSense(),
      ResistanceFault(),
      ResistanceAlike(),
      Loaded("resistance-healthy"),
      ResistanceJoint(),
      ContactorsFault(),
      ContactorsAlike(),
      Switching("contactors-healthy"),
      ContactorsLoad(),
      ContactorsPole(),
      CapacityFault(),
      CapacityAlike(),
      Emptied("capacity-healthy"),
      SupplyFault(),
      SupplyAlike(),
      Healthy("supply-healthy"),
      RangeFault(),
      RangeAlike(),
      Healthy("range-healthy"),
      InterlockFault(),
      InterlockAlike(),
      Healthy("interlock-healthy"),
      StandbyFault(),
      StandbyAlike(),
      Parked("standby-healthy"),
  };
  return table;
}

}  // namespace proofdrive::bench
