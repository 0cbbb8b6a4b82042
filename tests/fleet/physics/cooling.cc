#include "tests/fleet/physics/cooling.h"

#include <algorithm>
#include <cmath>

namespace proofdrive::fleet {
namespace {

// Heat that a litre a minute carries per kelvin, W: 3.53 kJ/(L K) for 50/50 glycol at 25 degC
// (fluid handbook values, looked up).
constexpr double kWattPerLitre = 3530.0 / 60;
constexpr double kSpinSeconds = 0.5;
constexpr double kAirSeconds = 1.5;
constexpr double kStillSeconds = 1800;

double Approach(double value, double end, double seconds, double tau) {
  return value + (end - value) * (1 - std::exp(-seconds / tau));
}

}  // namespace

double FullLoopIndex(const Loop& loop) {
  const double krpm = (loop.rpm_low + loop.rpm_high) / 2000;
  return (loop.electronics_w + loop.watt_per_krpm * std::pow(krpm, loop.exponent)) /
         std::pow(krpm, 3);
}

Cooling::Cooling(Random random, const Car& car)
    : random_(random),
      car_(car),
      pack_c_(car.use.ambient_c),
      inlet_c_(car.use.ambient_c),
      outlet_c_(car.use.ambient_c) {}

double Cooling::Command(bool awake) {
  const Loop& loop = car_.loop;
  if (!awake) return 0;
  const double need = std::clamp((pack_c_ - loop.target_c + 2) / 10, 0.0, 1.0);
  switch (loop.law) {
    case PumpLaw::kFixed:
      return (loop.rpm_low + loop.rpm_high) / 2;
    case PumpLaw::kProportional:
      return loop.rpm_low + need * (loop.rpm_high - loop.rpm_low);
    case PumpLaw::kSteps:
      return loop.rpm_low + std::floor(3 * need) / 3 * (loop.rpm_high - loop.rpm_low);
    case PumpLaw::kOnOff:
      if (pack_c_ > loop.target_c) on_ = true;
      if (pack_c_ < loop.target_c - 3) on_ = false;
      return on_ ? loop.rpm_high * 0.8 : loop.rpm_low;
  }
  return 0;
}

// Electronics and bearings take their own, the rest goes with a power of the speed; thick coolant
// takes a quarter more at -20 degC (chosen; viscosity is six times that of 20 degC, looked up).
double Cooling::Power() {
  if (rpm_ < 50) return 0;
  const double thick = 1 + 0.25 * std::clamp((20 - inlet_c_) / 40, 0.0, 1.0);
  const Defects& defects = car_.defects;
  const double loaded = car_.loop.watt_per_krpm * std::pow(rpm_ / 1000, car_.loop.exponent) *
                        thick * (1 - 0.6 * defects.blocked) * defects.air_power *
                        std::max(0.05, 1 + defects.air * air_);
  return car_.loop.electronics_w + loaded;
}

void Cooling::Step(double heat_w, bool awake, double seconds) {
  const Loop& loop = car_.loop;
  hold_s_ -= seconds;
  if (hold_s_ <= 0 || !awake) {
    command_ = Command(awake);
    hold_s_ = 10;
  }
  told_ = command_ > 0;
  const bool stands = stands_s_ > 0;
  stands_s_ = std::max(0.0, stands_s_ - seconds);
  rpm_ = Approach(rpm_, stands ? 0 : command_, seconds, kSpinSeconds);
  if (car_.defects.air > 0) {
    const double keep = std::exp(-seconds / kAirSeconds);
    air_ = air_ * keep + std::sqrt(1 - keep * keep) * random_.Noise();
  }
  pump_w_ = Power();
  l_min_ = loop.l_min_per_krpm * rpm_ / 1000 * (1 - car_.defects.blocked) *
           (1 - 0.5 * std::min(1.0, car_.defects.air)) * car_.defects.air_power;
  const double carried = kWattPerLitre * l_min_;
  double taken_w = 0;
  if (l_min_ > 0.2) {
    const double reach = 1 - std::exp(-loop.exchange_w_per_k / carried);
    const double leaving = inlet_c_ + (pack_c_ - inlet_c_) * reach;
    taken_w = carried * (leaving - inlet_c_);
    outlet_c_ = Approach(outlet_c_, leaving, seconds, 60 * loop.volume_l / l_min_);
    inlet_c_ = Approach(inlet_c_, loop.target_c, seconds, loop.radiator_s);
  } else {
    outlet_c_ = Approach(outlet_c_, pack_c_, seconds, kStillSeconds);
    inlet_c_ = Approach(inlet_c_, pack_c_, seconds, kStillSeconds);
  }
  const double lost_w = loop.loss_w_per_k * (pack_c_ - car_.use.ambient_c);
  pack_c_ += (heat_w - taken_w - lost_w) * seconds / (1000 * car_.pack.heat_kj_per_k);
}

}  // namespace proofdrive::fleet
