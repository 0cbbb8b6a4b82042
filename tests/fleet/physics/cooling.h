// Pump, coolant and the pack's mean temperature.
#pragma once

#include "tests/fleet/car/car.h"
#include "tests/fleet/random.h"

namespace proofdrive::fleet {

// Power over the cube of the speed of a full loop, W at 1000 rpm, in the middle of its speeds.
double FullLoopIndex(const Loop& loop);

class Cooling {
 public:
  Cooling(Random random, const Car& car);

  // `heat_w` made in the pack; `awake`: the units run, so the pump may.
  void Step(double heat_w, bool awake, double seconds);

  double pack_c() const { return pack_c_; }
  double inlet_c() const { return inlet_c_; }
  double outlet_c() const { return outlet_c_; }
  double rpm() const { return rpm_; }
  bool told_to_run() const { return told_; }
  double pump_w() const { return pump_w_; }
  double l_min() const { return l_min_; }
  // Of the defect "the pump stands": from now on for its time.
  void StandStill() { stands_s_ = car_.defects.pump_stands_s; }

 private:
  double Command(bool awake);
  double Power();

  Random random_;
  const Car& car_;
  double pack_c_, inlet_c_, outlet_c_;
  double rpm_ = 0, pump_w_ = 0, l_min_ = 0;
  bool told_ = false;
  bool on_ = false;
  double hold_s_ = 0;  // the command stays this long
  double command_ = 0;
  double air_ = 0;  // slow noise, one standard deviation of 1
  double stands_s_ = 0;
};

}  // namespace proofdrive::fleet
