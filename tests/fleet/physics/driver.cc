#include "tests/fleet/physics/driver.h"

#include <algorithm>
#include <cmath>

namespace proofdrive::fleet {
namespace {

constexpr double kPedalSeconds = 0.15;  // how fast power follows the pedal
constexpr double kMotor = 0.9;          // battery to wheel
constexpr double kBack = 0.75;          // wheel to battery
constexpr double kMostBrake = 2.5;      // m/s2

}  // namespace

// Rolling 1 % of the weight, air 0.5 x 1.2 kg/m3 x 0.65 m2 (everyday figures).
double Driver::Resistance() const {
  return speed_ > 0.05 ? 0.01 * use_.mass_kg * 9.81 + 0.39 * speed_ * speed_ : 0;
}

void Driver::NextAct(bool stop) {
  const bool town = random_.Chance(use_.town_share);
  if (stop) {
    act_ = speed_ > 0.3 ? Act::kBrake : Act::kStand;
    target_ = 0;
    left_s_ = 5;
  } else if (act_ == Act::kStand || (act_ == Act::kCoast && random_.Chance(0.5))) {
    act_ = Act::kAccelerate;
    pedal_ = random_.Uniform(0.25, 1);
    target_ = (town ? random_.Uniform(30, 60) : random_.Uniform(70, 125)) / 3.6;
    left_s_ = random_.Uniform(4, 15);
  } else if (act_ == Act::kAccelerate) {
    act_ = Act::kCruise;
    target_ = speed_;
    left_s_ = random_.Uniform(5, town ? 30 : 90);
  } else if (act_ == Act::kBrake) {
    act_ = Act::kStand;
    left_s_ = random_.Uniform(2, 30);
  } else {
    act_ = random_.Chance(0.7) ? Act::kBrake : Act::kCoast;
    pedal_ = random_.Uniform(0.3, 1);
    target_ = town ? 0 : speed_ * random_.Uniform(0.2, 0.7);
    left_s_ = random_.Uniform(4, 12);
  }
}

// At the wheels, W.
double Driver::Wanted() const {
  const double most = 1000 * use_.most_kw;
  switch (act_) {
    case Act::kAccelerate:
      return pedal_ * most;
    case Act::kCruise:
      return Resistance() * speed_ + use_.mass_kg * 0.1 * (target_ - speed_) * speed_;
    case Act::kBrake:
      return speed_ < 2 ? 0 : -std::min(pedal_ * 0.6 * most, use_.mass_kg * 1.2 * speed_);
    case Act::kStand:
    case Act::kCoast:
      return 0;
  }
  return 0;
}

double Driver::Power(double seconds, bool stop) {
  left_s_ -= seconds;
  const bool reached = (act_ == Act::kAccelerate && speed_ > target_) ||
                       (act_ == Act::kBrake && speed_ <= target_ + 0.1);
  if (left_s_ <= 0 || reached || (stop && act_ != Act::kBrake && act_ != Act::kStand)) {
    NextAct(stop);
  }
  power_ += (Wanted() - power_) * (1 - std::exp(-seconds / kPedalSeconds));
  double force = power_ / std::max(speed_, 2.0) - Resistance();
  if (act_ == Act::kBrake) force = std::min(force, -0.8 * use_.mass_kg * (stop ? 2 : 1));
  force = std::clamp(force, -kMostBrake * use_.mass_kg, 4.0 * use_.mass_kg);
  speed_ = std::max(0.0, speed_ + force / use_.mass_kg * seconds);
  if (act_ == Act::kStand) speed_ = 0;
  return power_ > 0 ? power_ / kMotor : power_ * kBack;
}

}  // namespace proofdrive::fleet
