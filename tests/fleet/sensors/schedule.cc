#include <algorithm>
#include <cmath>

#include "tests/fleet/random.h"
#include "tests/fleet/sensors/sent.h"

namespace proofdrive::fleet {
namespace {

constexpr double kAfterRun = 60;  // s of full traffic after parking
constexpr double kJitter = 0.01;  // of a period

// The next time at which something is sent while parked, at or after `t`.
double WhenAwake(const Use& use, double parked_for, double t) {
  if (use.parked != ParkedNetwork::kSleeps || parked_for < kAfterRun) return t;
  const double within = std::fmod(parked_for, use.wake_every_s);
  return within < use.wake_for_s ? t : t + use.wake_every_s - within;
}

}  // namespace

std::vector<double> Schedule(const Life& life, const Use& use, const Sensor& sensor,
                             Random& random) {
  std::vector<double> times;
  double t = random.Uniform(0, sensor.period_s);
  std::size_t phase = 0;
  while (t < life.length_s) {
    while (phase + 1 < life.phases.size() && t >= life.phases[phase].to_s) ++phase;
    const Phase& now = life.phases[phase];
    const bool rest = now.kind == StageKind::kRest;
    if (rest) {
      const double awake = WhenAwake(use, t - now.from_s, t);
      if (awake > t) {
        t = std::min(awake, std::max(now.to_s, t + 1e-3));
        continue;
      }
    }
    const bool slow = rest && t - now.from_s > kAfterRun && use.parked != ParkedNetwork::kSleeps;
    const double period = slow ? sensor.parked_period_s : sensor.period_s;
    if (sensor.loss <= 0 || !random.Chance(sensor.loss)) times.push_back(t);
    t += period * (1 + kJitter * random.Uniform(-1, 1));
  }
  return times;
}

double Measured(const Sensor& sensor, double truth, Random& random) {
  double value = (truth - sensor.offset) / sensor.factor * sensor.gain + sensor.zero;
  if (sensor.noise > 0) value += sensor.noise * random.Noise();
  value = std::clamp(value, sensor.low, sensor.high);
  const double raw = std::round((value - sensor.low) / sensor.step);
  return (sensor.low + raw * sensor.step) * sensor.factor + sensor.offset;
}

}  // namespace proofdrive::fleet
