#include "output/text/check_history_text.h"

#include <cmath>

#include "analysis/checking/draft.h"
#include "core/base/text.h"
#include "output/sheet/table.h"

namespace proofdrive::output {
namespace {

using analysis::CheckHistory;
using analysis::CheckStatus;
using analysis::FigureRow;
using analysis::FigureTrend;
using analysis::Spoken;
using Align = Table::Align;

// Beyond this, resistances of two sessions are not of the same state (15 instead of 25 degC is
// x 1.34, published cells).
constexpr double kSameTemperature = 5;
// A date further away says nothing.
constexpr double kFarDays = 3650;

std::string Short(CheckStatus status) {
  switch (status) {
    case CheckStatus::kOutside:
      return "OUT";
    case CheckStatus::kLookCloser:
      return "look";
    case CheckStatus::kCannotTell:
      return "?";
    case CheckStatus::kWithin:
      return "in";
  }
  return "";
}

std::string Answers(const CheckHistory& history) {
  std::vector<Table::Column> columns = {{"CHECK"}};
  const std::size_t sessions = history.checks.front().answers.size();
  for (std::size_t i = 0; i < sessions; ++i) columns.push_back({std::to_string(i + 1)});
  columns.push_back({"LATEST ANSWER"});
  Table table(std::move(columns));
  for (const analysis::CheckAnswers& row : history.checks) {
    std::vector<std::string> cells = {row.name};
    for (const CheckStatus status : row.answers) cells.push_back(Short(status));
    std::string latest = row.latest.empty() ? "never could tell" : Printable(row.latest);
    if (!row.latest.empty() && row.latest_session + 1 < sessions) {
      latest += " (session " + std::to_string(row.latest_session + 1) + ")";
    }
    cells.push_back(std::move(latest));
    table.Add(std::move(cells));
  }
  return table.Format();
}

std::string DateOf(WallTime first, double day) {
  return FormatWallTime(first + FromSeconds(day * 86'400), 0).substr(0, 10);
}

// "2026-03-10 (band 2026-03-08 to 2026-03-14)".
std::string Reached(const analysis::Crossing& crossing, WallTime first) {
  if (crossing.day > kFarDays) return "";
  const std::string latest = crossing.latest > kFarDays ? "never" : DateOf(first, crossing.latest);
  return "; " + crossing.limit + " (" + Spoken(crossing.value) + " kohm) would be reached on " +
         DateOf(first, crossing.day) + " (band " + DateOf(first, crossing.earliest) + " to " +
         latest + ")";
}

std::string Slope(const FigureRow& row) {
  const FigureTrend& trend = *row.trend;
  const bool falls = trend.per_day < 0;
  const auto size = [&](double slope) {
    return trend.of_log ? 100 * (std::pow(10, slope) - 1) : slope;
  };
  std::string text = (falls ? "falls by " : "rises by ") + Spoken(std::fabs(size(trend.per_day))) +
                     (trend.of_log ? " %" : (row.unit.empty() ? "" : " " + row.unit)) +
                     " a day (95 % band " + Spoken(size(trend.low)) + " to " +
                     Spoken(size(trend.high)) + ")";
  if (trend.of_log) {
    text += std::string(falls ? ", halves" : ", doubles") + " in " +
            Spoken(std::log10(2.0) / std::fabs(trend.per_day)) + " days";
  }
  return text + ", Mann-Kendall p " + Spoken(trend.p);
}

std::string Figures(const CheckHistory& history, WallTime first) {
  std::vector<Table::Column> columns = {{"FIGURE"}, {"UNIT"}};
  for (std::size_t i = 0; i < history.figures.front().values.size(); ++i) {
    columns.push_back({std::to_string(i + 1), Align::kRight});
  }
  Table table(std::move(columns));
  for (const FigureRow& row : history.figures) {
    std::vector<std::string> cells = {row.meaning, row.unit};
    for (const auto& value : row.values) cells.push_back(value ? Spoken(value->value) : "-");
    table.Add(std::move(cells));
  }
  std::string text = table.Format() + "\n";
  for (const FigureRow& row : history.figures) {
    if (row.trend) text += Paragraph("  - ", row.meaning + " " + TrendText(row, first) + ".");
  }
  return text;
}

std::string Standby(const analysis::StandbyHistory& standby) {
  std::string text = "standing between sessions takes " + Spoken(standby.per_day) + " +- " +
                     Spoken(standby.uncertainty) + " % of the charge a day";
  if (standby.watt > 0) text += " (" + Spoken(standby.watt) + " W)";
  return text + ", over " + CountOf(standby.pauses.size(), "pause") + " of " +
         Spoken(standby.hours) +
         " h in all. Nobody may have driven or charged in them; only a rising charge and an "
         "odometer show that. There is no standard for it: compare the same car.";
}

}  // namespace

std::string TrendText(const FigureRow& row, WallTime first) {
  const FigureTrend& trend = *row.trend;
  if (!trend.Clear()) {
    return "shows no clear trend over " + CountOf(trend.sessions, "session") + " (Mann-Kendall p " +
           Spoken(trend.p) + "), which does not prove that it stays";
  }
  std::string text = Slope(row);
  if (row.check == "insulation") {
    text += trend.per_day < 0 ? ": getting worse"
                              : ": drying, or warmer each time; residues of coolant conduct when "
                                "they get damp again";
  }
  for (const analysis::Crossing& crossing : row.crossings) text += Reached(crossing, first);
  text += row.proviso;
  if (row.temperature_span_k > kSameTemperature) {
    text += "; the cells' temperature differs by " + Spoken(row.temperature_span_k) +
            " K between the sessions, which alone can do that";
  }
  return text;
}

std::string FormatCheckHistory(const CheckHistory& history, const std::vector<WallTime>& starts) {
  if (starts.empty()) return "";
  std::string text;
  if (!history.checks.empty()) {
    if (!history.all_guesses.empty()) text += Paragraph("", history.all_guesses) + "\n";
    text += Answers(history) + "\n" +
            Paragraph("",
                      "OUT: outside limits; look: look closer; in: within limits; ?: cannot tell. "
                      "proofdrive check SESSION says why.") +
            "\n";
  }
  if (!history.figures.empty()) text += Figures(history, starts.front());
  if (history.standby) text += Paragraph("  - ", Standby(*history.standby));
  if (!history.figures.empty() && starts.size() < analysis::kFewestForTrend) {
    text += Paragraph(
        "", "A trend needs " + std::to_string(analysis::kFewestForTrend) + " sessions or more.");
  }
  return text.empty() ? "" : text + "\n";
}

}  // namespace proofdrive::output
