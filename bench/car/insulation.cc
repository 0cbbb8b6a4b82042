#include "bench/car/insulation.h"

#include <algorithm>

#include "bench/car/curve.h"

namespace proofdrive::bench {
namespace {

// Chosen for this car, so that a few millilitres matter.
constexpr double kDrySideOhm = 8e6;        // each pole to the body when dry: 4 Mohm together
constexpr double kSiemensPerMl = 0.68e-6;  // of coolant film
constexpr double kDryingSeconds = 1500;    // at 20 C; halves for every 20 K (chosen)
constexpr double kBodyFarad = 1e-6;        // 1 Mohm x 1 uF = 1 s (computed)
constexpr double kMonitorSeconds = 1;

double HumidityOf(double wet_ml) { return 42 + 52 * wet_ml / (wet_ml + 4); }

}  // namespace

Insulation::Insulation(const InsulationSetup& setup)
    : wet_ml_(setup.wet_ml),
      leak_place_(setup.leak_place),
      reported_ohm_(OhmOf(setup.wet_ml)),
      humidity_(HumidityOf(setup.wet_ml)) {}

double Insulation::OhmOf(double wet_ml) {
  return 1 / (2 / kDrySideOhm + kSiemensPerMl * std::max(wet_ml, 0.0));
}

double Insulation::NegativeShare() const {
  const double side = 1 / kDrySideOhm;
  const double film = kSiemensPerMl * wet_ml_;
  return (side + leak_place_ * film) / (2 * side + film);
}

void Insulation::Step(double dt, double added_ml_min, double temperature_c) {
  const double warm = std::max(0.3, 1 + (temperature_c - 20) / 20);
  wet_ml_ += dt * (added_ml_min / 60 - wet_ml_ * warm / kDryingSeconds);
  awake_s_ += dt;
  reported_ohm_ = Relax(reported_ohm_, Ohm(), kMonitorSeconds + Ohm() * kBodyFarad, dt);
  humidity_ = Relax(humidity_, HumidityOf(wet_ml_), 20, dt);
}

}  // namespace proofdrive::bench
