#include "tests/fleet/measure/truth.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "tests/fleet/physics/insulation.h"
#include "tests/fleet/physics/pack_model.h"

namespace proofdrive::fleet {
namespace {

constexpr double kPulse = 2;          // s, of the resistances of the checks
constexpr std::size_t kPlaces = 400;  // over the recording

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

// Of the moments in which the monitor sent something: a tenth of them was lower than this.
double LowKohm(const Car& car, const Life& life, const Sent& sent) {
  std::vector<double> kohm;
  for (const SentSignal& signal : sent.signals) {
    if (signal.role != "isolation resistance") continue;
    const std::vector<double>& times = signal.elements.front().time_s;
    const std::size_t every = std::max<std::size_t>(1, times.size() / kPlaces);
    Clock clock(life);
    for (std::size_t i = 0; i < times.size(); i += every) {
      clock.Seek(times[i]);
      const Moment& now = clock.now();
      kohm.push_back(LeakageOf(car, now.pack_c, now.pack_v, now.hv == HvState::kClosed,
                               times[i] / life.length_s)
                         .kohm);
    }
  }
  if (kohm.empty()) return std::numeric_limits<double>::quiet_NaN();
  std::sort(kohm.begin(), kohm.end());
  return kohm[kohm.size() / 10];
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

std::map<std::string, double> TruthOf(const Car& car, const Life& life, const Sent& sent) {
  const Moment& end = life.moments.back();
  std::map<std::string, double> truth;
  truth["resistance/pack_resistance"] = 1000 * MeanPackOhm(car, life);
  if (car.pack.strings == 1) truth["resistance/link_resistance"] = car.pack.joint_mohm;
  truth["insulation/resistance"] = LowKohm(car, life, sent);
  truth["capacity/capacity"] = car.pack.capacity_ah * car.pack.health;
  truth["range/charge_by_voltage"] = 100 * end.charge;
  truth["standby/standby_loss"] = StandbyLoss(car, end);
  // The flow itself depends on the pump's speed in the windows that a check uses.
  truth["cooling/flow_index"] = car.loop.l_min_per_krpm * (1 - car.defects.blocked);
  return truth;
}

}  // namespace proofdrive::fleet
