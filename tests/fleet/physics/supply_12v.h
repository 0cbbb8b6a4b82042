// The 12 V system: battery, converter, dips.
#pragma once

#include "tests/fleet/car/car.h"

namespace proofdrive::fleet {

class Supply12v {
 public:
  explicit Supply12v(const Car& car);

  // `awake`: units draw current from it; `high_voltage`: the converter may work.
  void Step(bool awake, bool high_voltage, bool driving, double seconds);
  double volt() const { return volt_; }
  bool converter() const { return converter_; }

 private:
  double Charging() const;

  const Car& car_;
  double volt_;
  double surface_v_ = 0;  // left of charging
  double up_s_ = 0, awake_s_ = 0, drive_s_ = 0, off_s_ = 0;
  bool converter_ = false;
};

}  // namespace proofdrive::fleet
