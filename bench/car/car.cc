#include "bench/car/car.h"

#include <algorithm>

#include "bench/car/curve.h"

namespace proofdrive::bench {
namespace {

// ISO 6469 family and UN R100: below 100 ohm per volt of working voltage the contactors stay open
// (limit published; that a car acts on it is trade habit).
constexpr double kInhibitOhm = 100 * kWorkingVoltage;
constexpr double kLeastSupplyV = 9.0;  // control units work from 9 V (from memory)
constexpr double kAwakeAmps = 14;      // 12 V loads other than the pump (chosen)
constexpr double kHeaterW = 300;       // high-voltage loads while up (chosen)
constexpr double kKwhPerKm = 0.165;    // chosen
constexpr double kNominalCellV = 3.7;
constexpr double kChargeAmps = 16;  // a wall socket, at pack voltage about 6 kW (chosen)
constexpr double kMostDischargeKw = 95;
constexpr double kMostChargeKw = 70;
constexpr double kBalanceFromV = 0.020;
// The pump runs high while the motor has worked this hard for some time (chosen).
constexpr double kCoolingFromW = 4e3;
constexpr double kCoolingSeconds = 25;

}  // namespace

Car::Car(const Scenario& scenario, std::uint64_t seed)
    : scenario_(scenario),
      random_(seed, 1),
      cells_(random_, scenario.charge, scenario.drain, scenario.defects),
      heat_(random_, scenario.cells_c, scenario.ambient_c, scenario.defects.hot),
      loop_(random_, scenario.coolant),
      insulation_(scenario.insulation),
      contactors_(scenario.defects.contactor),
      supply_(scenario.supply),
      drive_(random_, scenario.drive_seconds) {
  insulation_.SetDefects(scenario.defects.monitor_dip, scenario.defects.vehicle_ohm);
}

void Car::Do(Action action) {
  switch (action) {
    case Action::kPumpOff:
      pump_command_ = PumpState::kOff;
      break;
    case Action::kPumpLow:
      pump_command_ = PumpState::kLow;
      break;
    case Action::kPumpHigh:
      pump_command_ = PumpState::kHigh;
      break;
    case Action::kRequestDrive:
      drive_requested_ = true;
      break;
    case Action::kReleaseDrive:
      drive_requested_ = false;
      break;
    case Action::kInterlockOpens:
      interlock_open_ = true;
      break;
    case Action::kInterlockCloses:
      interlock_open_ = false;
      break;
    case Action::kPlugIn:
      plugged_ = true;
      break;
    case Action::kUnplug:
      plugged_ = false;
      break;
  }
}

std::uint8_t Car::Inhibit() const {
  unsigned reasons = 0;
  if (crash_latched()) reasons |= kInhibitCrash;
  if (insulation_.reported_ohm() < kInhibitOhm) reasons |= kInhibitInsulation;
  if (interlock_open_) reasons |= kInhibitInterlock;
  if (supply_.voltage() < kLeastSupplyV) reasons |= kInhibitSupply;
  return static_cast<std::uint8_t>(reasons);
}

PumpState Car::PumpCommand() const {
  if (!scenario_.automatic_pump) return pump_command_;
  if (!contactors_.closed()) return PumpState::kOff;
  return lasting_power_w_ > kCoolingFromW ? PumpState::kHigh : PumpState::kLow;
}

void Car::StepCharging() {
  plugged_s_ = plugged_ ? plugged_s_ + kStepSeconds : 0;
  if (!plugged_) {
    charge_state_ = ChargeState::kUnplugged;
  } else if (plugged_s_ < 3) {
    charge_state_ = ChargeState::kPlugged;
  } else if (Inhibit() != 0) {
    charge_state_ = ChargeState::kRefused;
  } else if (cells_.MeanCharge() > 0.95) {
    charge_state_ = ChargeState::kFinished;
  } else if (contactors_.closed()) {
    charge_state_ = ChargeState::kCharging;
  }
}

void Car::StepCurrent() {
  const double pack_v = cells_.PackVoltage();
  discharge_a_ = contactors_.PrechargeCurrent(pack_v);
  if (!contactors_.closed()) discharge_a_ += scenario_.defects.parked_a;
  if (!contactors_.closed()) return;
  discharge_a_ = (drive_.power_w() + supply_.ConverterPower() + kHeaterW) / pack_v;
  if (charge_state_ == ChargeState::kCharging) discharge_a_ -= kChargeAmps;
  discharge_a_ += LoadNow();
}

double Car::LoadNow() const {
  double amps = 0;
  for (const LoadStep& step : scenario_.load) {
    if (step.at_s <= time_s()) amps = step.amps;
  }
  return amps;
}

void Car::StepInsulation() {
  const ContactorState state = contactors_.state();
  if (state != last_state_) insulation_.Disturb();
  last_state_ = state;
  insulation_.Join(contactors_.closed());
  insulation_.Step(kStepSeconds, loop_.LeakRate() * scenario_.leak_into_pack, heat_.cells_c());
}

void Car::Step() {
  while (next_action_ < scenario_.timeline.size() &&
         scenario_.timeline[next_action_].at_s <= time_s()) {
    Do(scenario_.timeline[next_action_++].action);
  }
  constexpr double dt = kStepSeconds;
  drive_.Step(dt, contactors_.closed());
  const double work_w = drive_.power_w() < 0 ? -drive_.power_w() : drive_.power_w();
  lasting_power_w_ = Relax(lasting_power_w_, work_w, kCoolingSeconds, dt);
  StepCharging();
  StepCurrent();
  cells_.SetBalancing(contactors_.closed() && discharge_a_ < 5 && discharge_a_ > -5 &&
                      cells_.Spread() > kBalanceFromV);
  cells_.Step(dt, discharge_a_, heat_.cells_c());
  discharged_as_ += discharge_a_ * dt;
  contactors_.Step(dt, drive_requested_, Inhibit(), cells_.PackVoltage(), discharge_a_);
  loop_.Step(dt, PumpCommand(), supply_.voltage());
  heat_.Step(dt, cells_.Heat(), loop_.flow_l_min());
  StepInsulation();
  const bool starting = time_s() > 2 && time_s() < 2.3;
  supply_.Step(dt, kAwakeAmps + loop_.current_a() + (starting ? scenario_.defects.start_load_a : 0),
               contactors_.closed());
  ++steps_;
}

bool Car::range_learned() const { return drive_.distance_m() >= scenario_.learn_m; }

double Car::EnergyLeftKwh() const {
  return cells_.MeanCharge() * cells_.MeanCapacityAh() * kNominalCellV *
         static_cast<double>(kCellCount) / 1000;
}

double Car::DisplayedRange() const {
  return Inhibit() == 0 && range_learned() ? EnergyLeftKwh() / kKwhPerKm : 0;
}

double Car::DischargeLimitKw() const { return Inhibit() != 0 ? 0 : kMostDischargeKw; }

double Car::ChargeLimitKw() const {
  if (Inhibit() != 0) return 0;
  return std::min(kMostChargeKw, (1 - cells_.MeanCharge()) * 300);
}

}  // namespace proofdrive::bench
