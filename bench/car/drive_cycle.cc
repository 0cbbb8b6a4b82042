#include "bench/car/drive_cycle.h"

#include <algorithm>

#include "bench/car/curve.h"

namespace proofdrive::bench {
namespace {

// All chosen for this invented car.
constexpr double kMassKg = 1650;
constexpr double kGravity = 9.81;
constexpr double kRolling = 0.011;
constexpr double kDragHalfRhoCdA = 0.38;  // N/(m/s)^2
constexpr double kDriveEfficiency = 0.89;
constexpr double kRegenerationEfficiency = 0.68;
constexpr double kMostRegenerationW = 45e3;
constexpr double kMostPowerW = 95e3;
constexpr double kRegenerationFromMps = 2.0;
constexpr double kMotorRadPerMetre = 28.6;  // gear ratio over wheel radius
constexpr double kWaitSeconds = 12;         // parked before setting off and at the end

}  // namespace

DriveCycle::DriveCycle(Random& random, double seconds) {
  if (seconds <= 0) return;
  const double end = seconds - kWaitSeconds;
  double t = kWaitSeconds;
  parts_.push_back({t, 0});
  while (t < end - 60) {
    // One leg: a speed to hold, then a stop or a slow corner.
    const bool country = random.Below(3) == 0;
    t += country ? random.Uniform(40, 70) : random.Uniform(18, 35);
    parts_.push_back({t, country ? random.Uniform(20, 27) : random.Uniform(8, 15)});
    t += random.Uniform(6, 12);
    parts_.push_back({t, random.Below(2) == 0 ? 0.0 : random.Uniform(3, 6)});
  }
  parts_.push_back({seconds, 0});
}

double DriveCycle::motor_rpm() const { return speed_mps_ * kMotorRadPerMetre * 9.549297; }

double DriveCycle::TargetSpeed() const {
  for (const Part& part : parts_) {
    if (driven_s_ < part.until_s) return part.speed_mps;
  }
  return 0;
}

void DriveCycle::Step(double dt, bool high_voltage_up) {
  if (parts_.empty()) return;
  driven_s_ += dt;
  const double target = high_voltage_up ? TargetSpeed() : 0;
  const double wanted = std::clamp((target - speed_mps_) * 0.6, -2.4, 1.9);
  acceleration_ = Relax(acceleration_, wanted, 0.35, dt);
  speed_mps_ += acceleration_ * dt;
  if (speed_mps_ < 0.05 && target <= 0) {
    speed_mps_ = 0;
    acceleration_ = 0;
  }
  speed_mps_ = std::max(speed_mps_, 0.0);
  distance_m_ += speed_mps_ * dt;
  in_drive_ = high_voltage_up && driven_s_ > kWaitSeconds - 4;
  StepPower(dt);
}

void DriveCycle::StepPower(double dt) {
  const double resisting =
      speed_mps_ > 0 ? kMassKg * kGravity * kRolling + kDragHalfRhoCdA * speed_mps_ * speed_mps_
                     : 0;
  const double force = kMassKg * acceleration_ + resisting;
  const double mechanical = force * speed_mps_;
  power_w_ = 0;
  if (mechanical > 0) {
    power_w_ = std::min(mechanical / kDriveEfficiency, kMostPowerW);
  } else if (speed_mps_ > kRegenerationFromMps) {
    power_w_ = std::max(mechanical * kRegenerationEfficiency, -kMostRegenerationW);
  }
  torque_nm_ = mechanical > 0 || speed_mps_ > kRegenerationFromMps ? force / kMotorRadPerMetre : 0;
  accelerator_ = std::clamp(force / 60, 0.0, 100.0);
  brake_ = std::clamp(-(force + 1500) / 60, 0.0, 100.0);
  const double loss = (power_w_ < 0 ? -power_w_ : power_w_) * 0.03;
  inverter_c_ = Relax(inverter_c_, 18 + loss / 60, 90, dt);
}

}  // namespace proofdrive::bench
