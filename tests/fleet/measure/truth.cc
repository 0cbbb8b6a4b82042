#include "tests/fleet/measure/truth.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "tests/fleet/physics/insulation.h"
#include "tests/fleet/physics/pack_model.h"

namespace proofdrive::fleet {
namespace {

constexpr double kPulse = 2;  // s, of the resistances of the checks
constexpr int kPlaces = 400;  // over the recording

double MeanPackOhm(const Car& car, const Life& life) {
  const PackModel pack(car.pack);
  double sum = 0;
  double count = 0;
  for (std::size_t i = 0; i < life.moments.size(); i += 50) {
    const Moment& now = life.moments[i];
    if (now.kmh < 1) continue;
    sum += pack.PackOhm(now.pack_c, now.charge, kPulse);
    ++count;
  }
  return count > 0 ? sum / count : std::numeric_limits<double>::quiet_NaN();
}

// The tenth part of the time in which resistance was lowest begins here.
double LowKohm(const Car& car, const Life& life) {
  std::vector<double> kohm;
  Clock clock(life);
  for (int i = 0; i < kPlaces; ++i) {
    const double part = (i + 0.5) / kPlaces;
    clock.Seek(part * life.length_s);
    const Moment& now = clock.now();
    kohm.push_back(LeakageOf(car, now.pack_c, now.pack_v, now.hv == HvState::kClosed, part).kohm);
  }
  std::sort(kohm.begin(), kohm.end());
  return kohm[kPlaces / 10];
}

double SpreadOfCells(const Car& car, const Moment& end) {
  double low = 1e9;
  double high = -1e9;
  for (int i = 0; i < car.pack.cells; ++i) {
    const CellView view(car.pack, i);
    const double volt = view.Volt(end.charge, end.over_v) - view.offset_v();
    low = std::min(low, volt);
    high = std::max(high, volt);
  }
  return 1000 * (high - low);
}

double SpreadOfTemperatures(const Car& car, const Moment& end) {
  const auto [low, high] = std::minmax_element(car.pack.gradient.begin(), car.pack.gradient.end());
  return (*high - *low) * std::fabs(end.pack_c - end.inlet_c);
}

// % a day of the charge shown, without what only settles.
double StandbyLoss(const Car& car, const Moment& end) {
  const double watt = car.use.standby_w;
  const double ah = car.pack.capacity_ah * car.pack.health;
  const double usable = 1 - car.display.hidden_low - car.display.hidden_high;
  const double percent = 100 * watt * 24 / std::max(end.pack_v, 1.0) / ah;
  return (percent + car.defects.standby_percent) / usable;
}

}  // namespace

std::map<std::string, double> TruthOf(const Car& car, const Life& life) {
  const Moment& end = life.moments.back();
  std::map<std::string, double> truth;
  truth["resistance/pack_resistance"] = 1000 * MeanPackOhm(car, life);
  if (car.pack.strings == 1) truth["resistance/link_resistance"] = car.pack.joint_mohm;
  truth["insulation/resistance"] = LowKohm(car, life);
  truth["balance/spread"] = SpreadOfCells(car, end);
  truth["cooling/temperature_spread"] = SpreadOfTemperatures(car, end);
  truth["capacity/capacity"] = car.pack.capacity_ah * car.pack.health;
  truth["range/charge_by_voltage"] = 100 * end.charge;
  truth["standby/standby_loss"] = StandbyLoss(car, end);
  const auto lowest =
      std::min_element(life.moments.begin(), life.moments.end(),
                       [](const Moment& a, const Moment& b) { return a.supply_v < b.supply_v; });
  truth["supply/supply_lowest"] = lowest->supply_v;
  // The flow itself depends on the pump's speed in the windows that a check uses.
  truth["cooling/flow_index"] = car.loop.l_min_per_krpm * (1 - car.defects.blocked);
  return truth;
}

}  // namespace proofdrive::fleet
