// Driving: a made-up town and country trip, the force it needs, and what that takes from the pack.
#pragma once

#include <vector>

#include "bench/car/random.h"

namespace proofdrive::bench {

class DriveCycle {
 public:
  // `seconds` of driving; 0 = the car stays parked.
  DriveCycle(Random& random, double seconds);

  // Moves only while `high_voltage_up`.
  void Step(double dt, bool high_voltage_up);

  double speed_mps() const { return speed_mps_; }
  double acceleration() const { return acceleration_; }
  bool in_drive() const { return in_drive_; }
  double distance_m() const { return distance_m_; }
  // Electrical power of the motor: positive takes from the pack, negative gives back, W.
  double power_w() const { return power_w_; }
  double torque_nm() const { return torque_nm_; }
  double motor_rpm() const;
  double inverter_c() const { return inverter_c_; }
  // Pedal positions, %.
  double accelerator() const { return accelerator_; }
  double brake() const { return brake_; }

 private:
  struct Part {
    double until_s = 0;
    double speed_mps = 0;
  };
  double TargetSpeed() const;
  void StepPower(double dt);

  std::vector<Part> parts_;
  double driven_s_ = 0;
  double speed_mps_ = 0;
  double acceleration_ = 0;
  double distance_m_ = 0;
  double power_w_ = 0;
  double torque_nm_ = 0;
  double accelerator_ = 0;
  double brake_ = 0;
  double inverter_c_ = 18;
  bool in_drive_ = false;
};

}  // namespace proofdrive::bench
