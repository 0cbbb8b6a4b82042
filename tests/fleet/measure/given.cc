#include "tests/fleet/measure/given.h"

#include <cmath>

namespace proofdrive::fleet {
namespace {

constexpr double kPlateauLow = 3.20, kPlateauHigh = 3.345;  // V
constexpr double kFewReadings = 10;
constexpr double kSwing = 0.33;               // 30 % and what the charge is uncertain by
constexpr double kNightSeconds = 7.3 * 3600;  // six hours after the first one, and some

double ChargeAt(const Life& life, double t) {
  Clock clock(life);
  clock.Seek(t);
  return clock.Value(&Moment::charge);
}

// Of the rests of the recording: largest difference of charge at their ends.
double SwingBetweenRests(const Life& life) {
  double least = 1;
  double most = 0;
  for (const Phase& phase : life.phases) {
    if (phase.kind != StageKind::kRest) continue;
    const double charge = ChargeAt(life, phase.to_s);
    least = std::fmin(least, charge);
    most = std::fmax(most, charge);
  }
  return most - least;
}

double ReadingsOfPrecharge(const Car& car) {
  return car.high_voltage.precharge_s() / car.sensors.values.at("link voltage").period_s;
}

}  // namespace

bool GivesAllFor(std::string_view check, const Car& car, const Life& life) {
  if (!car.all_roles || !car.sensors.missing_pages.empty()) return false;
  if (check == "capacity") {
    return !car.facts.curve.empty() && car.facts.capacity_ah > 0 &&
           SwingBetweenRests(life) >= kSwing;
  }
  // On the plateau of iron phosphate the voltages say nothing of the balance.
  if (check == "balance") {
    const Moment& end = life.moments.back();
    const double volt = CurveOf(car.pack.kind).Volt(end.charge);
    const bool iron = car.pack.kind == CellKind::kLfp || car.pack.kind == CellKind::kLfpFlat;
    return !iron || volt < kPlateauLow || volt > kPlateauHigh;
  }
  if (check == "precharge") return ReadingsOfPrecharge(car) >= kFewReadings;
  if (check == "standby") {
    const Phase& last = life.phases.back();
    return last.to_s - last.from_s >= kNightSeconds;
  }
  return true;
}

}  // namespace proofdrive::fleet
