#include "tests/fleet/physics/insulation.h"

#include <algorithm>
#include <cmath>

namespace proofdrive::fleet {
namespace {

constexpr double kReferenceRise = 25;  // K above the air outside, at which the car was drawn
constexpr double kTestKohm = 150;      // shown during a self-test
constexpr double kMostKohm = 200000;

}  // namespace

Leakage LeakageOf(const Car& car, double pack_c, double pack_v, bool closed, double part) {
  const Insulation& insulation = car.insulation;
  const double kelvin = pack_c - car.use.ambient_c - kReferenceRise;
  const double kohm =
      std::min(kMostKohm, insulation.kohm * std::pow(2, -kelvin / insulation.kelvin_to_halve));
  const double healthy = (closed ? 1 : 1 - insulation.vehicle_share) / kohm;
  const double leak = car.defects.leak_kohm > 0 ? 1 / car.defects.leak_kohm : 0;
  const double grown = 1 / (1 - car.defects.leak_fall * part);
  const double all = (healthy + leak) * grown;
  const double up = (healthy * insulation.positive_share + leak * car.defects.leak_place) * grown;
  Leakage result;
  result.kohm = 1 / all;
  result.negative_v = pack_v * up / all;
  result.positive_v = pack_v - result.negative_v;
  return result;
}

std::vector<Reading> MonitorReadings(const Car& car, const Life& life) {
  const Insulation& insulation = car.insulation;
  std::vector<Reading> readings;
  Clock clock(life);
  double average = 0;
  bool closed = false;
  double closed_at = -1e9;
  for (double t = 0; t < life.length_s; t += insulation.hold_s) {
    clock.Seek(t);
    const Moment& now = clock.now();
    if ((now.hv == HvState::kClosed) != closed) {
      closed = !closed;
      if (closed) closed_at = t;
    }
    const Leakage leak = LeakageOf(car, now.pack_c, now.pack_v, closed, t / life.length_s);
    // Settles with the resistance times the capacity of the lines, then by its own averaging.
    const double tau = insulation.average_s + leak.kohm * 1000 * insulation.line_farad;
    average = average == 0
                  ? leak.kohm
                  : average + (leak.kohm - average) * (1 - std::exp(-insulation.hold_s / tau));
    Reading reading{t, average, closed};
    if (t - closed_at < insulation.test_s) reading.kohm = std::min(reading.kohm, kTestKohm);
    if (insulation.ceiling_kohm > 0) {
      reading.kohm = std::min(reading.kohm, insulation.ceiling_kohm);
    }
    readings.push_back(reading);
  }
  return readings;
}

}  // namespace proofdrive::fleet
