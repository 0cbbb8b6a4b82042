// The whole physical car: the parts, what connects them, and the decisions of its control units.
// Knows nothing of frames.
#pragma once

#include <cstdint>

#include "bench/car/cell_pack.h"
#include "bench/car/contactors.h"
#include "bench/car/coolant_loop.h"
#include "bench/car/drive_cycle.h"
#include "bench/car/insulation.h"
#include "bench/car/pack_heat.h"
#include "bench/car/random.h"
#include "bench/car/scenario.h"
#include "bench/car/supply_12v.h"
#include "core/base/time.h"

namespace proofdrive::bench {

// Values as sent on the bus.
enum class ChargeState : std::uint8_t {
  kUnplugged = 0,
  kPlugged = 1,
  kCharging = 2,
  kFinished = 3,
  kRefused = 4,
};

// One step of the model.
inline constexpr Duration kStep = std::chrono::milliseconds(10);
inline constexpr double kStepSeconds = 0.010;

class Car {
 public:
  // `scenario` must outlive the car.
  Car(const Scenario& scenario, std::uint64_t seed);

  // Advances by kStepSeconds, after doing what the timeline says for that time.
  void Step();

  double time_s() const { return static_cast<double>(steps_) * kStepSeconds; }
  const Scenario& scenario() const { return scenario_; }
  const CellPack& cells() const { return cells_; }
  const PackHeat& heat() const { return heat_; }
  const CoolantLoop& loop() const { return loop_; }
  const Insulation& insulation() const { return insulation_; }
  const Contactors& contactors() const { return contactors_; }
  const Supply12V& supply() const { return supply_; }
  const DriveCycle& drive() const { return drive_; }

  double discharge_a() const { return discharge_a_; }
  // Sum since the start, positive = taken from the pack.
  double discharged_as() const { return discharged_as_; }
  bool drive_requested() const { return drive_requested_; }
  bool interlock_open() const { return interlock_open_; }
  bool crash_latched() const { return scenario_.crash_latched; }
  ChargeState charge_state() const { return charge_state_; }
  // InhibitReason bits that hold now.
  std::uint8_t Inhibit() const;
  bool range_learned() const;
  // What the cluster shows: withheld (0) while inhibited or not learned, km.
  double DisplayedRange() const;
  double EnergyLeftKwh() const;
  double DischargeLimitKw() const;
  double ChargeLimitKw() const;
  // False before the restraint unit has tested itself.
  bool restraint_ready() const { return time_s() > 2.5; }

 private:
  void Do(Action action);
  PumpState PumpCommand() const;
  void StepCharging();
  void StepCurrent();
  double LoadNow() const;
  void StepInsulation();

  const Scenario& scenario_;
  Random random_;
  CellPack cells_;
  PackHeat heat_;
  CoolantLoop loop_;
  Insulation insulation_;
  Contactors contactors_;
  Supply12V supply_;
  DriveCycle drive_;

  std::uint64_t steps_ = 0;
  std::size_t next_action_ = 0;
  PumpState pump_command_ = PumpState::kOff;
  double lasting_power_w_ = 0;  // of the motor, smoothed: what the cooling goes by
  bool drive_requested_ = false;
  bool interlock_open_ = false;
  bool plugged_ = false;
  double plugged_s_ = 0;
  ChargeState charge_state_ = ChargeState::kUnplugged;
  double discharge_a_ = 0;
  double discharged_as_ = 0;
  ContactorState last_state_ = ContactorState::kOpen;
};

}  // namespace proofdrive::bench
