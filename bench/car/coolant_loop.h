// The pack's cooling loop: pump, flow, air caught in the loop, a leak, and the level in the tank.
#pragma once

#include <cstdint>

#include "bench/car/random.h"

namespace proofdrive::bench {

// Values as sent on the bus.
enum class PumpState : std::uint8_t { kOff = 0, kLow = 1, kHigh = 2, kFault = 7 };
enum class CoolantLevel : std::uint8_t { kEmpty = 0, kLow = 1, kFull = 2 };

struct CoolantSetup {
  double litres = 5.9;       // coolant in loop and tank together
  double air_litres = 0.05;  // caught in the loop
  double leak_ml_min = 0;    // at full pump speed; a third of it with the pump off
  double blocked = 0;        // 0..1: a kinked hose or a closed valve
};

class CoolantLoop {
 public:
  CoolantLoop(Random& random, const CoolantSetup& setup);

  // `command` is never kFault. `supply_v` feeds the pump.
  void Step(double dt, PumpState command, double supply_v);

  // What the pump does, which differs from the command while it protects itself.
  PumpState pump() const { return pump_; }
  double speed_rpm() const { return speed_rpm_; }
  double current_a() const { return current_a_; }
  double power_w() const { return power_w_; }
  double flow_l_min() const { return flow_l_min_; }
  CoolantLevel level() const { return level_; }
  // Share of the loop filled with air, 0..1.
  double AirShare() const;
  double litres() const { return litres_; }
  // Leaking now, mL/min.
  double LeakRate() const;

 private:
  void StepPump(double dt, PumpState command, double supply_v);
  void StepProtection(double dt, PumpState command);
  void StepCoolant(double dt);
  void StepLevel();

  Random random_;
  double litres_;
  double air_litres_;
  double leak_ml_min_;
  double blocked_;
  double slug_ = 0;  // how much more or less air than the mean passes the pump now
  double slug_target_ = 0;
  double slug_left_s_ = 0;
  double speed_rpm_ = 0;
  double current_a_ = 0;
  double power_w_ = 0;
  double flow_l_min_ = 0;
  double dry_s_ = 0;
  double fault_s_ = 0;
  PumpState pump_ = PumpState::kOff;
  CoolantLevel level_ = CoolantLevel::kFull;
};

}  // namespace proofdrive::bench
