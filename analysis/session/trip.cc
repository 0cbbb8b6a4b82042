#include "analysis/session/trip.h"

#include <algorithm>

namespace proofdrive::analysis {
namespace {

using decoders::Definitions;

constexpr double kWattSecondsPerKwh = 3.6e6;

// Kilometres per second for one of `unit`; 0 = not known.
double SpeedFactor(const std::string& unit) {
  if (unit == "km/h") return 1.0 / 3600;
  if (unit == "m/s") return 1e-3;
  if (unit == "mph") return 1.609344 / 3600;  // the international mile, exact by definition
  return 0;
}

}  // namespace

double TripMeter::Held::Seconds(Duration now, Duration& lost) const {
  if (!known) return 0;
  const Duration held = now - since;
  if (held <= kLongestHold) return ToSeconds(held);
  lost += held - kLongestHold;
  return ToSeconds(kLongestHold);
}

TripMeter::Held TripMeter::ByRole(const Definitions& definitions, decoders::RoleName role) {
  Held held;
  for (const std::uint32_t signal : definitions.SignalsWithRole(role)) {
    if (definitions.signals[signal].is_series) continue;
    held.signal = signal;
    break;
  }
  return held;
}

TripMeter::TripMeter(const Definitions& definitions)
    : speed_(ByRole(definitions, "vehicle speed")),
      voltage_(ByRole(definitions, "pack voltage")),
      current_(ByRole(definitions, "pack current")) {
  if (speed_.signal) speed_.factor = SpeedFactor(definitions.signals[*speed_.signal].unit);
  if (speed_.factor == 0) speed_.signal.reset();
  if (current_.signal) {
    const std::string& positive = definitions.signals[*current_.signal].positive;
    if (positive == "charge") current_.factor = -1;
    if (positive.empty() || !voltage_.signal) current_.signal.reset();
  }
}

void TripMeter::CountSpeed(Duration now) {
  const double seconds = speed_.Seconds(now, speed_lost_);
  distance_km_ += speed_.value * seconds;
  if (speed_.value > 0) moving_ += FromSeconds(seconds);
}

void TripMeter::CountPower(Duration now) {
  if (!voltage_.known || now - voltage_.since > kLongestHold) return;
  const double energy = voltage_.value * current_.value * current_.Seconds(now, power_lost_);
  (energy > 0 ? out_ws_ : in_ws_) += energy > 0 ? energy : -energy;
}

void TripMeter::Add(const decoders::Value& value, Duration at) {
  const auto take = [&](Held& held) {
    held.known = value.validity == decoders::Validity::kValid;
    held.ever |= held.known;
    held.value = held.known ? value.number * held.factor : 0;
    held.since = at;
  };
  if (value.signal == speed_.signal) {
    CountSpeed(at);
    take(speed_);
    speed_.value = std::max(speed_.value, 0.0);
  } else if (value.signal == voltage_.signal) {
    take(voltage_);
  } else if (value.signal == current_.signal) {
    CountPower(at);
    take(current_);
  }
}

TripFigures TripMeter::Finish(Duration end) {
  CountSpeed(end);
  CountPower(end);
  TripFigures figures;
  figures.speed_missing = speed_.signal && !speed_.ever;
  figures.power_missing = current_.signal && !(current_.ever && voltage_.ever);
  if (speed_.signal && !figures.speed_missing) {
    figures.distance_km = distance_km_;
    figures.moving = moving_;
  }
  if (current_.signal && !figures.power_missing) {
    figures.energy_out_kwh = out_ws_ / kWattSecondsPerKwh;
    figures.energy_in_kwh = in_ws_ / kWattSecondsPerKwh;
  }
  figures.not_counted = std::max(speed_lost_, power_lost_);
  return figures;
}

}  // namespace proofdrive::analysis
