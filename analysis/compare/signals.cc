#include "analysis/compare/signals.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <map>
#include <numeric>

#include "core/base/text.h"

namespace proofdrive::analysis {
namespace {

using decoders::Definitions;
using decoders::Signal;

// The bands the car was in during one window; a missing signal is a band of its own.
using Point = std::vector<int>;

struct Driver {
  std::uint32_t signal;
  double band;
};

std::vector<Driver> DriversOf(const Definitions& definitions) {
  std::vector<Driver> drivers;
  const auto add = [&](decoders::RoleName role, double band) {
    const auto signals = definitions.SignalsWithRole(role);
    if (!signals.empty()) drivers.push_back({signals[0], band});
  };
  add("pack current", kCurrentBand);
  add("vehicle speed", kSpeedBand);
  add("cell temperatures", kTemperatureBand);
  return drivers;
}

constexpr int kNoBand = -1'000'000;
// Of a longer session every second, third, ... window is used: more would say no more.
constexpr std::size_t kMostWindows = 1024;

// Band 0 lies around zero, so that a resting car is in one band.
int BandOf(const WindowRow& row, std::size_t window, double band) {
  if (window >= row.size() || std::isnan(row[window])) return kNoBand;
  return static_cast<int>(std::lround(static_cast<double>(row[window]) / band));
}

struct Windows {
  std::vector<double> values;
  std::vector<Point> points;
};

Windows WindowsOf(const SessionFindings& findings, std::uint32_t signal,
                  const std::vector<Driver>& drivers) {
  Windows windows;
  const WindowRow& row = findings.windows[signal];
  const std::size_t step = row.size() / kMostWindows + 1;
  for (std::size_t i = 0; i < row.size(); i += step) {
    if (std::isnan(row[i])) continue;
    Point point;
    for (const Driver& driver : drivers) {
      // A signal is not matched by itself.
      if (driver.signal != signal) {
        point.push_back(BandOf(findings.windows[driver.signal], i, driver.band));
      }
    }
    windows.values.push_back(static_cast<double>(row[i]));
    windows.points.push_back(std::move(point));
  }
  return windows;
}

double Mean(const std::vector<double>& values) {
  return std::accumulate(values.begin(), values.end(), 0.0) / static_cast<double>(values.size());
}

// Values at operating points that both sides have, in order of time, less the middle of both means
// of that point: what is left is the difference between the sessions.
struct Residuals {
  std::vector<double> before, after;
};

Residuals ResidualsOf(const Windows& before, const Windows& after,
                      const std::map<Point, MatchedBin>& bins) {
  std::map<Point, double> middles;
  for (const auto& [point, bin] : bins) {
    if (!bin.a.empty() && !bin.b.empty()) middles[point] = (Mean(bin.a) + Mean(bin.b)) / 2;
  }
  const auto take = [&](const Windows& windows) {
    std::vector<double> row;
    for (std::size_t i = 0; i < windows.values.size(); ++i) {
      const auto middle = middles.find(windows.points[i]);
      if (middle != middles.end()) row.push_back(windows.values[i] - middle->second);
    }
    return row;
  };
  return {take(before), take(after)};
}

// About as many values as the row is worth, evenly chosen.
std::vector<double> Independent(const std::vector<double>& row, double worth) {
  const auto step = static_cast<std::size_t>(
      std::max(1.0, std::round(static_cast<double>(row.size()) / std::max(worth, 1.0))));
  std::vector<double> chosen;
  for (std::size_t i = 0; i < row.size(); i += step) chosen.push_back(row[i]);
  return chosen;
}

// Blocks of three integral times of the correlation.
double BootstrapError(const std::vector<double>& row, double worth) {
  const double length = 3 * static_cast<double>(row.size()) / std::max(worth, 1.0);
  const auto block =
      static_cast<std::size_t>(std::clamp(std::ceil(length), 1.0, static_cast<double>(row.size())));
  return BootstrapOfMean(row, block, 1000).error;
}

std::string Short(double value) {
  char text[32];
  if (std::fabs(value) >= 1000) {  // no exponents for people
    const double step = std::pow(10, std::floor(std::log10(std::fabs(value))) - 2);
    std::snprintf(text, sizeof(text), "%.0f", std::round(value / step) * step);
    return text;
  }
  std::snprintf(text, sizeof(text), "%.3g", value);
  return text;
}

std::vector<std::string> StatesOnlyIn(const Signal& signal, const SignalRecord& here,
                                      const SignalRecord& there) {
  std::vector<std::string> names;
  for (std::size_t i = 0; i < signal.states.size(); ++i) {
    if (here.state_counts[i] > 0 && there.state_counts[i] == 0) {
      names.push_back(signal.states[i].name);
    }
  }
  return names;
}

class Comparer {
 public:
  Comparer(const SessionFindings& before, const SessionFindings& after)
      : before_(before),
        after_(after),
        definitions_(*after.definitions),
        drivers_(DriversOf(definitions_)) {}

  SignalComparison Compare(std::uint32_t index) const {
    SignalComparison result;
    result.signal = index;
    const Signal& signal = definitions_.signals[index];
    const SignalRecord& a = before_.signals[index];
    const SignalRecord& b = after_.signals[index];
    if (a.values == 0 || b.values == 0) {
      result.change = SignalChange::kOneSided;
      result.why = a.values == 0 ? "received only after" : "received only before";
      return result;
    }
    result.only_before = StatesOnlyIn(signal, a, b);
    result.only_after = StatesOnlyIn(signal, b, a);
    if (before_.windows[index].empty() != after_.windows[index].empty()) {
      result.change = SignalChange::kOneSided;
      result.why = before_.windows[index].empty() ? "valid only after" : "valid only before";
      return result;
    }
    if (before_.windows[index].empty()) {
      result.change = SignalChange::kStates;
      result.why = StatesText(result);
      return result;
    }
    CompareNumbers(index, result);
    return result;
  }

 private:
  static std::string StatesText(const SignalComparison& result) {
    std::vector<std::string> parts;
    if (!result.only_before.empty()) {
      parts.push_back("only before: " + Join(result.only_before, ", "));
    }
    if (!result.only_after.empty()) parts.push_back("only after: " + Join(result.only_after, ", "));
    return parts.empty() ? "the same states" : Join(parts, "; ");
  }

  void CompareNumbers(std::uint32_t index, SignalComparison& result) const {
    const Windows before = WindowsOf(before_, index, drivers_);
    const Windows after = WindowsOf(after_, index, drivers_);
    std::map<Point, MatchedBin> bins;
    for (std::size_t i = 0; i < before.values.size(); ++i) {
      bins[before.points[i]].a.push_back(before.values[i]);
    }
    for (std::size_t i = 0; i < after.values.size(); ++i) {
      bins[after.points[i]].b.push_back(after.values[i]);
    }
    result.matched = std::any_of(drivers_.begin(), drivers_.end(),
                                 [&](const Driver& driver) { return driver.signal != index; });
    std::vector<MatchedBin> list;
    for (const auto& [point, bin] : bins) list.push_back(bin);
    const MatchedDifference matched = CompareMatched(list);
    result.overlap = matched.overlap;
    const Residuals rows = ResidualsOf(before, after, bins);
    result.windows_before = rows.before.size();
    result.windows_after = rows.after.size();
    if (matched.overlap < kLeastOverlap) {
      result.change = SignalChange::kNotComparable;
      result.why =
          "the car did the same for only " + Short(matched.overlap * 100) + " % of the time";
      return;
    }
    result.difference = matched.difference;
    Measure(rows, index, result);
  }

  void Measure(const Residuals& rows, std::uint32_t index, SignalComparison& result) const {
    result.independent_before = EffectiveSize(rows.before);
    result.independent_after = EffectiveSize(rows.after);
    const SignalRecord& a = before_.signals[index];
    const SignalRecord& b = after_.signals[index];
    const double range =
        std::max(a.highest.value, b.highest.value) - std::min(a.lowest.value, b.lowest.value);
    result.margin = kMarginShare * range;
    if (range == 0) {  // one value in both sessions: nothing to be unsure about
      result.change = SignalChange::kSame;
      result.why = "one value in both";
      return;
    }
    if (std::min(result.independent_before, result.independent_after) < kLeastWindows) {
      result.change = SignalChange::kTooFew;
      result.why = "worth only " + Short(result.independent_before) + " and " +
                   Short(result.independent_after) + " independent windows";
      return;
    }
    const double reach = 1.96 * std::hypot(BootstrapError(rows.before, result.independent_before),
                                           BootstrapError(rows.after, result.independent_after));
    result.low = result.difference - reach;
    result.high = result.difference + reach;
    const auto x = Independent(rows.before, result.independent_before);
    const auto y = Independent(rows.after, result.independent_after);
    result.effect = CliffsDelta(x, y);
    result.p = MannWhitneyP(x, y);
  }

  const SessionFindings& before_;
  const SessionFindings& after_;
  const Definitions& definitions_;
  std::vector<Driver> drivers_;
};

bool IsMeasured(const SignalComparison& one) { return one.change == SignalChange::kUnclear; }

// Decided last: p is adjusted for the number of signals that were measured.
void Decide(const Definitions& definitions, SignalComparison& one) {
  const std::string& unit = definitions.signals[one.signal].unit;
  const std::string size = Short(one.difference) + (unit.empty() ? "" : " " + unit) + " (" +
                           Short(one.low) + " to " + Short(one.high) + ")";
  const bool apart = one.low > 0 || one.high < 0;
  if (apart && one.p_adjusted < kLeastP && std::fabs(one.effect) >= kLeastEffect) {
    one.change = SignalChange::kChanged;
    one.why = "differs by " + size + ", a " + EffectName(one.effect) + " effect" +
              (one.matched ? "" : "; over the whole recordings, whatever the car did");
  } else if (one.low > -one.margin && one.high < one.margin) {
    one.change = SignalChange::kSame;
    one.why = "the same within " + Short(one.margin) + (unit.empty() ? "" : " " + unit);
  } else {
    one.why = "neither shown to differ nor to be the same: " + size;
  }
}

}  // namespace

std::string_view SignalChangeName(SignalChange change) {
  switch (change) {
    case SignalChange::kOneSided:
      return "one session only";
    case SignalChange::kStates:
      return "states";
    case SignalChange::kTooFew:
      return "too few";
    case SignalChange::kNotComparable:
      return "not comparable";
    case SignalChange::kChanged:
      return "changed";
    case SignalChange::kSame:
      return "same";
    case SignalChange::kUnclear:
      return "unclear";
  }
  return "";
}

std::vector<SignalComparison> CompareSignals(const SessionFindings& before,
                                             const SessionFindings& after) {
  std::vector<SignalComparison> all;
  if (after.definitions == nullptr || before.windows.size() != after.windows.size()) return all;
  const Comparer comparer(before, after);
  for (std::uint32_t i = 0; i < after.windows.size(); ++i) {
    if (before.signals[i].values + after.signals[i].values > 0) all.push_back(comparer.Compare(i));
  }
  std::vector<double> p;
  for (const SignalComparison& one : all) {
    if (IsMeasured(one)) p.push_back(one.p);
  }
  const std::vector<double> adjusted = AdjustForMany(p);
  std::size_t next = 0;
  for (SignalComparison& one : all) {
    if (!IsMeasured(one)) continue;
    one.p_adjusted = adjusted[next++];
    Decide(*after.definitions, one);
  }
  return all;
}

}  // namespace proofdrive::analysis
