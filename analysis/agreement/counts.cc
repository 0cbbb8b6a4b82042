#include "analysis/agreement/counts.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "analysis/agreement/track_ratio.h"
#include "analysis/physics/charge_count.h"
#include "analysis/statistics/summaries.h"

namespace proofdrive::analysis {
namespace {

constexpr double kLeastKwh = 1;
constexpr double kLeastPercent = 3;
constexpr double kLeastKm = 3;
// Of resolution that must have moved. Energy and charge shown settle for reasons of their own.
constexpr double kSteps = 10;
constexpr double kOdometerSteps = 5;
// A factor this large is no scale that somebody writes: one of the two stands still.
constexpr double kMostFactor = 2000;
constexpr double kWattSecondsPerKwh = 3.6e6;
constexpr double kFast = 20;       // km/h, for speeds against each other
constexpr double kZeroAmps = 0.3;  // by which a current sensor may be off at zero (proposal)
constexpr std::size_t kFewest = 20;
constexpr std::size_t kMostVolts = 1000;

double Sum(const Track& rate, double from_s, double to_s) {
  const Track part = Between(rate, from_s, to_s);
  return part.size() < 2 ? 0 : Trapezoid(part.time_s, part.value);
}

std::optional<double> Change(const Track& shown, double from_s, double to_s) {
  const Track part = Between(shown, from_s, to_s);
  if (part.size() < 2) return std::nullopt;
  return part.value.back() - part.value.front();
}

// Something counted and the same shown, over one unbroken stretch.
struct Pair {
  const Track& rate;  // per second, in the unit of `shown`
  const Track& shown;
  double least = 0;  // that must have moved
  double step = 0;   // of what is shown
  double steps = kSteps;
  double zero = 0;  // per second, by which `rate` may be off all the time
};

struct Count {
  double counted = 0, shown = 0;
  double zero = 0;  // by which `counted` may be off
  // Of what may have been counted, the nearest to what is shown.
  double ratio() const { return std::clamp(shown, counted - zero, counted + zero) / shown; }
};

std::optional<Count> CountOver(const Pair& pair, double from_s, double to_s) {
  const auto shown = Change(pair.shown, from_s, to_s);
  if (!shown) return std::nullopt;
  return Count{Sum(pair.rate, from_s, to_s), *shown, pair.zero * (to_s - from_s)};
}

// From where the value shown begins to move to where it ends: beside hours of parking the zero of a
// sensor counts for more, and what is shown stands at its end while the last buffer is filled.
Interval Moving(const Pair& pair, const Interval& time) {
  const Track part = Between(pair.shown, time.from_s, time.to_s);
  const auto still = [&](std::size_t i, double value) {
    return std::fabs(part.value[i] - value) <= pair.step / 2;
  };
  if (pair.zero <= 0 || part.size() < 2) return time;
  std::size_t first = 0;
  while (first + 1 < part.size() && still(first + 1, part.value.front())) ++first;
  std::size_t last = part.size() - 1;
  while (last > first && still(last - 1, part.value.back())) --last;
  return {part.time_s[first], part.time_s[last]};
}

// Of the unbroken stretches the one in which the value shown changes most: a parked network sends
// at other rates, so that a drive ends one.
Interval MostMoved(const Pair& pair) {
  Interval best;
  double most = -1;
  for (const Interval& one : Unbroken({&pair.rate, &pair.shown})) {
    const double change = std::fabs(Change(pair.shown, one.from_s, one.to_s).value_or(0));
    if (change > most) {
      best = one;
      most = change;
    }
  }
  return best;
}

// Far enough on both sides, and by the same factor in both halves of what moved.
std::optional<Count> SteadyCount(const Pair& pair) {
  const Interval time = Moving(pair, MostMoved(pair));
  const auto all = CountOver(pair, time.from_s, time.to_s);
  if (!all) return std::nullopt;
  const double most = std::max(std::fabs(all->counted), std::fabs(all->shown));
  const double least = std::min(std::fabs(all->counted), std::fabs(all->shown));
  if (most < pair.least || std::fabs(all->shown) < pair.steps * pair.step || least <= 0) {
    return std::nullopt;
  }
  if (std::fabs(std::log(std::fabs(all->ratio()))) > std::log(kMostFactor)) return std::nullopt;
  const double half = (time.from_s + time.to_s) / 2;
  for (const Interval& part : {Interval{time.from_s, half}, Interval{half, time.to_s}}) {
    const auto one = CountOver(pair, part.from_s, part.to_s);
    if (!one || std::fabs(one->shown) < pair.steps * pair.step) continue;
    const double against = one->ratio() / all->ratio();
    if (against < 0.5 || against > 2) return std::nullopt;
  }
  return all;
}

Track Times(const Track& track, double factor) {
  Track scaled = track;
  for (double& value : scaled.value) value *= factor;
  return scaled;
}

// kW of the pack as a rate of kWh, positive while it is charged.
Track PowerInto(const Track& current, const Track& voltage) {
  Track power;
  const double age = std::max(CheckInput::Gap(voltage), 1.0);
  for (std::size_t i = 0; i < current.size(); ++i) {
    const auto volt = ValueAt(voltage, current.time_s[i], age);
    if (volt) power.Add(current.time_s[i], -*volt * current.value[i] / kWattSecondsPerKwh);
  }
  return power;
}

void JudgeCount(Agreement& agreement, const Count& count, const std::string& unit,
                const std::string& what, const std::vector<decoders::RoleName>& roles) {
  const double most = agreement.draft().Limit("definitions.more");
  const double least = 1 / agreement.draft().Limit("definitions.count");
  const std::string both = "the current counts " + Spoken(count.counted) + " " + unit + ", the " +
                           what + " changes by " + Spoken(count.shown) + " " + unit;
  if (count.ratio() < 0) {
    agreement.Contradicts(roles, both + "; one sign is wrong");
  } else if (count.ratio() > most || count.ratio() < least) {
    agreement.Contradicts(roles, both + "; one scale is wrong");
  } else {
    agreement.Agrees(both);
  }
}

void CompareEnergy(Agreement& agreement) {
  const CheckInput& input = agreement.input();
  const RoleSignal* energy = input.Find("energy left");
  const Track& current = input.TrackOf("pack current");
  const Track& voltage = input.TrackOf("pack voltage");
  if (energy == nullptr || current.size() < 2 || voltage.empty()) return;
  const Track power = PowerInto(current, voltage);
  const double zero = kZeroAmps * Median(Thinned(voltage, kMostVolts).value) / kWattSecondsPerKwh;
  const auto count = SteadyCount({power, energy->track(), kLeastKwh, energy->step, kSteps, zero});
  if (count) JudgeCount(agreement, *count, "kWh", "energy left", {"pack current", "energy left"});
}

void CompareCharge(Agreement& agreement) {
  const CheckInput& input = agreement.input();
  const double capacity = agreement.draft().settings().Get("pack.capacity");
  const RoleSignal* charge = input.Find("state of charge");
  const Track& current = input.TrackOf("pack current");
  if (charge == nullptr || current.size() < 2 || capacity <= 0) return;
  const Track rate = Times(current, -100 / (3600 * capacity));
  const double zero = 100 * kZeroAmps / (3600 * capacity);
  const auto count =
      SteadyCount({rate, charge->track(), kLeastPercent, charge->step, kSteps, zero});
  if (!count) return;
  agreement.draft().Limit("pack.capacity");
  JudgeCount(agreement, *count, "%", "charge shown", {"pack current", "state of charge"});
}

void CompareDistance(Agreement& agreement) {
  const CheckInput& input = agreement.input();
  const RoleSignal* odometer = input.Find("odometer");
  const Track& speed = input.TrackOf("vehicle speed");
  if (odometer == nullptr || speed.size() < 2) return;
  const Track rate = Times(speed, 1.0 / 3600);
  const auto count =
      SteadyCount({rate, odometer->track(), kLeastKm, odometer->step, kOdometerSteps});
  if (!count || count->shown < kLeastKm) return;
  // Speeds are shown too fast by law and habit, never too slow.
  const double fast = agreement.draft().Limit("definitions.distance") / 100;
  const double slow = agreement.draft().Limit("definitions.slow") / 100;
  const double tolerance = (count->ratio() < 1 ? slow : fast) + 2 * odometer->step / count->shown;
  const std::string both = "the speed counts " + Spoken(count->counted) + " km, the odometer " +
                           Spoken(count->shown) + " km";
  if (Near(count->ratio(), 1, tolerance)) {
    agreement.Agrees(both);
  } else {
    agreement.Contradicts({"vehicle speed", "odometer"}, both + "; one unit or scale is wrong");
  }
}

// Several signals may be said to be the speed, those of the wheels among them.
void CompareSpeeds(Agreement& agreement) {
  const CheckInput& input = agreement.input();
  const RoleSignal* first = input.Find("vehicle speed");
  if (first == nullptr) return;
  const double most = agreement.draft().settings().Get("definitions.distance") / 100;
  for (const RoleSignal& other : input.signals) {
    if (&other == first || other.role != first->role || !other.unusable.empty()) continue;
    if (other.track().empty()) continue;
    const Ratio ratio = RatioOf(other.track(), first->track(), {{0, input.length_s}}, kFast);
    if (ratio.count < kFewest || !ratio.Steady(most)) continue;
    const std::string both = other.name + " says " + Spoken(ratio.a) + " km/h, " + first->name +
                             " " + Spoken(ratio.b) + " km/h";
    agreement.draft().Limit("definitions.distance");
    if (Near(ratio.middle, 1, most)) {
      agreement.Agrees(both);
      continue;
    }
    return agreement.Contradicts({"vehicle speed"}, both + "; one unit or scale is wrong");
  }
}

}  // namespace

void CompareCounts(Agreement& agreement) {
  CompareEnergy(agreement);
  CompareCharge(agreement);
  CompareDistance(agreement);
  CompareSpeeds(agreement);
}

}  // namespace proofdrive::analysis
