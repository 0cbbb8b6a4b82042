#include "analysis/history/check_history.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "analysis/checking/guesses.h"
#include "analysis/checks/standby_check.h"
#include "analysis/statistics/trend.h"

namespace proofdrive::analysis {
namespace {

constexpr double kClearInsulation = 0.05;
constexpr double kClear = 0.01;
constexpr double kSecondsPerDay = 86'400;

// What is followed over sessions.
struct KeyFigure {
  const char* check;
  const char* figure;
  const char* meaning;
  bool of_log = false;      // changes by a share of itself
  bool feels_cold = false;  // depends on temperature more than on wear
};
constexpr KeyFigure kKeyFigures[] = {
    {"insulation", "resistance", "insulation resistance", true, true},
    {"cooling", "pump_index", "pump power at 1000 rpm", false, true},
    {"cooling", "implied_flow", "coolant flow by heat", false, false},
    {"cooling", "outlet_delay", "delay from inlet to outlet", false, false},
    {"cooling", "cooling_time", "time constant of cooling down", false, false},
    {"balance", "spread", "spread of the cells at rest", false, false},
    {"resistance", "pack_resistance", "resistance of the pack", false, true},
    {"resistance", "link_resistance", "resistance of links and joints", false, false},
    {"precharge", "precharge_tau", "time constant of the pre-charge", false, false},
    {"capacity", "capacity", "capacity", false, false},
    {"capacity", "drive_energy", "energy of driving", false, true},
    {"supply", "supply_lowest", "lowest 12 V supply", false, false},
    {"standby", "standby_loss", "loss while standing, within a session", false, false},
};

const CheckResult* Find(const CheckedSession& session, std::string_view check) {
  for (const CheckResult& result : session.results) {
    if (result.name == check) return &result;
  }
  return nullptr;
}

const Figure* FindFigure(const CheckedSession& session, std::string_view check,
                         std::string_view figure) {
  const CheckResult* result = Find(session, check);
  return result == nullptr ? nullptr : result->FindFigure(figure);
}

std::vector<CheckAnswers> AnswersOf(std::span<const CheckedSession> sessions) {
  std::vector<CheckAnswers> checks;
  for (const CheckedSession& session : sessions) {
    if (!session.results.empty() && checks.empty()) {
      for (const CheckResult& result : session.results) {
        checks.push_back({result.name, result.title, {}, ""});
      }
    }
  }
  bool any = false;
  for (CheckAnswers& row : checks) {
    for (std::size_t i = 0; i < sessions.size(); ++i) {
      const CheckResult* result = Find(sessions[i], row.name);
      row.answers.push_back(result == nullptr ? CheckStatus::kCannotTell : result->status);
      if (row.answers.back() == CheckStatus::kCannotTell) continue;
      row.latest = result->FirstSentence();
      row.latest_session = i;
      any |= row.name != "signals";
    }
  }
  return any ? checks : std::vector<CheckAnswers>();
}

double DayOf(std::span<const CheckedSession> sessions, std::size_t i) {
  return ToSeconds(sessions[i].start - sessions.front().start) / kSecondsPerDay;
}

double TemperatureSpan(std::span<const CheckedSession> sessions, const FigureRow& row) {
  double low = std::numeric_limits<double>::infinity();
  double high = -low;
  for (std::size_t i = 0; i < sessions.size(); ++i) {
    const Figure* celsius = FindFigure(sessions[i], "resistance", "cell_temperature");
    if (!row.values[i] || celsius == nullptr) continue;
    low = std::min(low, celsius->value);
    high = std::max(high, celsius->value);
  }
  return high > low ? high - low : 0;
}

// At which resistance the limits per volt are reached.
void AddCrossings(std::span<const CheckedSession> sessions, FigureRow& row) {
  const CheckResult* latest = nullptr;
  for (const CheckedSession& session : sessions) {
    const CheckResult* result = Find(session, row.check);
    if (result != nullptr && result->FindFigure("working_voltage") != nullptr) latest = result;
  }
  if (latest == nullptr || !row.trend || !row.trend->Clear()) return;
  const double volt = latest->FindFigure("working_voltage")->value;
  for (const UsedLimit& limit : latest->limits) {
    if (limit.unit != "ohm/V") continue;
    auto crossing = CrossingOf(*row.trend, limit.value * volt / 1000);
    if (!crossing) continue;
    crossing->limit = limit.name;
    row.crossings.push_back(std::move(*crossing));
  }
  std::sort(row.crossings.begin(), row.crossings.end(),
            [](const Crossing& a, const Crossing& b) { return a.value > b.value; });
}

std::optional<FigureRow> RowOf(std::span<const CheckedSession> sessions, const KeyFigure& key) {
  FigureRow row;
  row.check = key.check;
  row.name = key.figure;
  row.meaning = key.meaning;
  std::vector<double> days, values;
  for (std::size_t i = 0; i < sessions.size(); ++i) {
    const Figure* figure = FindFigure(sessions[i], key.check, key.figure);
    row.values.push_back(figure == nullptr ? std::nullopt : std::optional(*figure));
    if (figure == nullptr) continue;
    row.proviso = Find(sessions[i], key.check)->proviso;
    row.unit = figure->unit;
    days.push_back(DayOf(sessions, i));
    values.push_back(figure->value);
  }
  if (values.empty()) return std::nullopt;
  row.trend = TrendOver(days, values, key.of_log, key.of_log ? kClearInsulation : kClear);
  if (row.check == "insulation") AddCrossings(sessions, row);
  if (key.feels_cold) row.temperature_span_k = TemperatureSpan(sessions, row);
  return row;
}

std::optional<StandbyHistory> StandbyOf(std::span<const CheckedSession> sessions,
                                        double least_hours, double usable_kwh) {
  StandbyHistory history;
  double step = 0;
  for (std::size_t i = 1; i < sessions.size(); ++i) {
    const CheckResult* before = Find(sessions[i - 1], "standby");
    const CheckResult* after = Find(sessions[i], "standby");
    if (before == nullptr || after == nullptr) continue;
    const double hours =
        ToSeconds(sessions[i].start - (sessions[i - 1].start + sessions[i - 1].length)) / 3600;
    const auto pause = PauseBetween(*before, *after, hours);
    if (!pause || hours < least_hours) continue;
    history.pauses.push_back(*pause);
    history.hours += hours;
    if (const Figure* own = after->FindFigure("charge_step")) step = std::max(step, own->value);
  }
  if (history.pauses.empty()) return std::nullopt;
  history.per_day = LossPerDay(history.pauses);
  history.uncertainty = LossUncertainty(history.pauses, step);
  if (usable_kwh > 0) history.watt = LossWatt(history.per_day, usable_kwh);
  return history;
}

}  // namespace

double FigureTrend::PercentPerDay() const { return 100 * (std::pow(10, per_day) - 1); }

std::optional<FigureTrend> TrendOver(std::span<const double> days, std::span<const double> values,
                                     bool of_log, double most_p) {
  if (values.size() < kFewestForTrend || days.front() == days.back()) return std::nullopt;
  std::vector<double> y(values.begin(), values.end());
  if (of_log) {
    for (double& value : y) value = std::log10(std::max(value, 1e-6));
  }
  const RobustLine line = TheilSen(days, y);
  FigureTrend trend;
  trend.sessions = y.size();
  trend.days = days.back() - days.front();
  trend.per_day = line.slope;
  trend.low = line.slope_low;
  trend.high = line.slope_high;
  trend.intercept = line.intercept;
  trend.p = MannKendall(y).p;
  trend.of_log = of_log;
  trend.most_p = most_p;
  return trend;
}

std::optional<Crossing> CrossingOf(const FigureTrend& trend, double limit) {
  if (trend.per_day >= 0) return std::nullopt;
  const double target = trend.of_log ? std::log10(limit) : limit;
  const auto day_at = [&](double slope) {
    return slope < 0 ? std::max(0.0, (target - trend.intercept) / slope)
                     : std::numeric_limits<double>::infinity();
  };
  Crossing crossing;
  crossing.value = limit;
  crossing.day = day_at(trend.per_day);
  crossing.earliest = day_at(trend.low);
  crossing.latest = day_at(trend.high);
  return crossing;
}

CheckHistory CheckHistoryOf(std::span<const CheckedSession> sessions, double standby_hours,
                            double usable_kwh) {
  CheckHistory history;
  history.checks = AnswersOf(sessions);
  if (!sessions.empty()) history.all_guesses = AllGuessesSentence(sessions.back().results);
  for (const KeyFigure& key : kKeyFigures) {
    if (auto row = RowOf(sessions, key)) history.figures.push_back(std::move(*row));
  }
  history.standby = StandbyOf(sessions, standby_hours, usable_kwh);
  return history;
}

}  // namespace proofdrive::analysis
