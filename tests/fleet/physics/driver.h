// Somebody drives: pedal positions held for some seconds, speed from power and resistance.
#pragma once

#include "tests/fleet/car/car.h"
#include "tests/fleet/random.h"

namespace proofdrive::fleet {

class Driver {
 public:
  Driver(Random random, const Use& use) : random_(random), use_(use) {}

  // Power taken from the pack for the next `seconds`, W; below 0 when braking gives some back.
  // `stop`: come to a stand.
  double Power(double seconds, bool stop);
  double kmh() const { return 3.6 * speed_; }

 private:
  void NextAct(bool stop);
  double Wanted() const;
  double Resistance() const;

  enum class Act { kStand, kAccelerate, kCruise, kCoast, kBrake };
  Random random_;
  const Use& use_;
  Act act_ = Act::kStand;
  double left_s_ = 2;
  double pedal_ = 0;   // share of the most power
  double target_ = 0;  // m/s
  double speed_ = 0;
  double power_ = 0;
};

}  // namespace proofdrive::fleet
