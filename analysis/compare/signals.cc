#include "analysis/compare/signals.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <tuple>

#include "analysis/figures/matched_windows.h"
#include "core/base/decimals.h"
#include "core/base/text.h"

namespace proofdrive::analysis {
namespace {

using decoders::Definitions;
using decoders::Signal;

struct Driver {
  std::uint32_t signal;
  double reach;
};
constexpr std::size_t kMostDrivers = std::tuple_size_v<Point>;

std::vector<Driver> DriversOf(const Definitions& definitions) {
  std::vector<Driver> drivers;
  const auto add = [&](decoders::RoleName role, double reach) {
    const auto signals = definitions.SignalsWithRole(role);
    if (!signals.empty() && drivers.size() < kMostDrivers) drivers.push_back({signals[0], reach});
  };
  add("pack current", kCurrentReach);
  add("vehicle speed", kSpeedReach);
  add("cell temperatures", kTemperatureReach);
  return drivers;
}

// Of a longer session every second, third, ... window is used: more would say no more.
constexpr std::size_t kMostWindows = 512;

float PlaceOf(const WindowRow& row, std::size_t window, double reach) {
  return window < row.size() ? row[window] / static_cast<float>(reach) : kEmptyWindow;
}

Windows WindowsOf(const SessionFindings& findings, std::uint32_t signal,
                  const std::vector<Driver>& drivers) {
  Windows windows;
  const WindowRow& row = findings.windows[signal];
  const std::size_t step = row.size() / kMostWindows + 1;
  for (std::size_t i = 0; i < row.size(); i += step) {
    if (std::isnan(row[i])) continue;
    Point point{};
    for (std::size_t k = 0; k < drivers.size(); ++k) {
      // A signal is not matched by itself.
      if (drivers[k].signal == signal) continue;
      point[k] = PlaceOf(findings.windows[drivers[k].signal], i, drivers[k].reach);
    }
    windows.values.push_back(static_cast<double>(row[i]));
    windows.points.push_back(point);
  }
  return windows;
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
    result.before = TypicalOf(before_, index);
    result.after = TypicalOf(after_, index);
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
    if (signal.encoding == decoders::Encoding::kText) {
      CompareTexts(index, result);
      return result;
    }
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
  static const TextRecord& TextIn(const SessionFindings& findings, std::uint32_t index) {
    static const TextRecord kNone;
    return index < findings.texts.size() ? findings.texts[index] : kNone;
  }

  // Names, numbers and versions that are sent as characters.
  void CompareTexts(std::uint32_t index, SignalComparison& result) const {
    const TextRecord& a = TextIn(before_, index);
    const TextRecord& b = TextIn(after_, index);
    result.change = SignalChange::kStates;
    if (a.texts.empty() || b.texts.empty()) {
      result.why = "a text that was not read";
    } else if (a.changes || b.changes) {
      result.why = "a text that changes within a session";
    } else if (a.texts == b.texts) {
      result.change = SignalChange::kSame;
      result.why = "the same text in both";
    } else {
      result.constant = true;
      result.change = SignalChange::kChanged;
      result.why = "always \"" + Join(a.texts, " ") + "\" before, always \"" + Join(b.texts, " ") +
                   "\" after";
    }
  }

  static std::string StatesText(const SignalComparison& result) {
    std::vector<std::string> parts;
    if (!result.only_before.empty()) {
      parts.push_back("only before: " + Join(result.only_before, ", "));
    }
    if (!result.only_after.empty()) parts.push_back("only after: " + Join(result.only_after, ", "));
    return parts.empty() ? "the same states" : Join(parts, "; ");
  }

  void CompareNumbers(std::uint32_t index, SignalComparison& result) const {
    if (BothConstant(index, result)) return;
    result.matched = std::any_of(drivers_.begin(), drivers_.end(),
                                 [&](const Driver& driver) { return driver.signal != index; });
    const Matched matched =
        MatchWindows(WindowsOf(before_, index, drivers_), WindowsOf(after_, index, drivers_));
    result.overlap = matched.overlap;
    result.windows_before = matched.before.size();
    result.windows_after = matched.after.size();
    if (matched.overlap < kLeastOverlap) {
      result.change = SignalChange::kNotComparable;
      result.why =
          "the car did the same for only " + Short(matched.overlap * 100) + " % of the time";
      return;
    }
    result.difference = matched.difference;
    Measure(matched, index, result);
  }

  // A version, a setting: never another value within a session, and not the same in both.
  bool BothConstant(std::uint32_t index, SignalComparison& result) const {
    const SignalRecord& a = before_.signals[index];
    const SignalRecord& b = after_.signals[index];
    const auto constant = [](const SignalRecord& one) {
      return one.lowest.value == one.highest.value &&
             one.values - one.absent - one.out_of_range >= kFewestConstant;
    };
    if (!constant(a) || !constant(b) || a.lowest.value == b.lowest.value) return false;
    result.constant = true;
    result.change = SignalChange::kChanged;
    result.difference = b.lowest.value - a.lowest.value;
    const std::string& unit = definitions_.signals[index].unit;
    const auto text = [&](double value) {
      return "always " + Decimals(value, 6) + (unit.empty() ? "" : " " + unit);
    };
    result.why = text(a.lowest.value) + " before, " + text(b.lowest.value) + " after";
    return true;
  }

  void Measure(const Matched& rows, std::uint32_t index, SignalComparison& result) const {
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
      const bool higher = b.lowest.value > a.highest.value;
      const bool lower = b.highest.value < a.lowest.value;
      const char* apart = higher  ? "every value after is higher, but "
                          : lower ? "every value after is lower, but "
                                  : "";
      result.why = std::string(apart) + "too few independent values (" +
                   Decimals(std::floor(result.independent_before), 0) + " and " +
                   Decimals(std::floor(result.independent_after), 0) + ")";
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
