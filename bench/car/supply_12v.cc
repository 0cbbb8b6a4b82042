#include "bench/car/supply_12v.h"

#include <algorithm>

#include "bench/car/curve.h"

namespace proofdrive::bench {
namespace {

// Rested lead-acid battery at 0, 25, ... 100 % (published).
constexpr double kRestedVoltage[] = {11.89, 12.06, 12.24, 12.45, 12.65};
constexpr double kCapacityAs = 50.0 * 3600;  // chosen
// 13.5 - 14.5 V and 90 - 95 % are usual for such converters (published).
constexpr double kConverterVoltage = 14.0;
constexpr double kConverterEfficiency = 0.92;
constexpr double kConverterStartSeconds = 0.5;
// Surface charge makes the battery take less than its resistance alone would let in (chosen).
constexpr double kChargeOhm = 0.12;

}  // namespace

Supply12V::Supply12V(const SupplySetup& setup)
    : charge_(setup.charge),
      ohm_(setup.ohm),
      converter_fails_s_(setup.converter_fails_s),
      voltage_(Interpolate(kRestedVoltage, 0, 0.25, setup.charge)) {}

double Supply12V::ConverterPower() const { return voltage_ * converter_a_ / kConverterEfficiency; }

void Supply12V::Step(double dt, double load_a, bool high_voltage_up) {
  up_s_ = high_voltage_up ? up_s_ + dt : 0;
  converter_on_ =
      up_s_ > kConverterStartSeconds && (converter_fails_s_ <= 0 || up_s_ < converter_fails_s_);
  const double rested = Interpolate(kRestedVoltage, 0, 0.25, charge_);
  const double on_battery = rested - load_a * ohm_;
  converter_v_ = Relax(std::max(converter_v_, on_battery),
                       converter_on_ ? kConverterVoltage : on_battery, 0.8, dt);
  voltage_ = std::max(converter_v_, on_battery);
  const double into_battery =
      converter_on_ && voltage_ > rested ? (voltage_ - rested) / (ohm_ + kChargeOhm) : -load_a;
  converter_a_ = converter_on_ ? std::max(0.0, load_a + into_battery) : 0;
  charge_ = std::clamp(charge_ + into_battery * dt / kCapacityAs, 0.0, 1.0);
}

}  // namespace proofdrive::bench
