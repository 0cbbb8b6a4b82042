// The 12 V supply: battery, loads, and the converter that feeds both once high voltage is up.
#pragma once

#include <cstdint>

namespace proofdrive::bench {

struct SupplySetup {
  double charge = 0.8;           // of the 12 V battery, 0..1
  double ohm = 0.020;            // its inner resistance
  double converter_fails_s = 0;  // this long after it started it stops; 0 = never
};

class Supply12V {
 public:
  explicit Supply12V(const SupplySetup& setup);

  // `load_a`: everything awake; the converter works while `high_voltage_up`.
  void Step(double dt, double load_a, bool high_voltage_up);

  double voltage() const { return voltage_; }
  double converter_a() const { return converter_a_; }
  bool converter_on() const { return converter_on_; }
  // What the converter takes from the pack, W.
  double ConverterPower() const;
  double charge() const { return charge_; }

 private:
  double charge_;
  double ohm_;
  double converter_fails_s_;
  double voltage_;
  double converter_v_ = 0;
  double converter_a_ = 0;
  double up_s_ = 0;
  bool converter_on_ = false;
};

}  // namespace proofdrive::bench
