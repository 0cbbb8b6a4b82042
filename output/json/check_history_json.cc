#include "output/json/check_history_json.h"

#include <cmath>
#include <nlohmann/json.hpp>

namespace proofdrive::output {
namespace {

Json TrendJson(const analysis::FigureTrend& trend) {
  Json json;
  json["sessions"] = trend.sessions;
  json["days"] = Number(trend.days);
  json["of"] = trend.of_log ? "log10" : "value";
  json["per_day"] = Number(trend.per_day);
  json["per_day_low"] = Number(trend.low);
  json["per_day_high"] = Number(trend.high);
  json["percent_per_day"] = trend.of_log ? Number(trend.PercentPerDay()) : Json(nullptr);
  json["p"] = Number(trend.p);
  json["clear"] = trend.Clear();
  return json;
}

Json FigureRowJson(const analysis::FigureRow& row) {
  Json json;
  json["check"] = row.check;
  json["name"] = row.name;
  json["meaning"] = row.meaning;
  json["unit"] = row.unit;
  json["values"] = Json::array();
  json["uncertainties"] = Json::array();
  for (const auto& value : row.values) {
    json["values"].push_back(value ? Number(value->value) : Json(nullptr));
    json["uncertainties"].push_back(value && value->uncertainty ? Number(*value->uncertainty)
                                                                : Json(nullptr));
  }
  json["trend"] = row.trend ? TrendJson(*row.trend) : Json(nullptr);
  json["reaches"] = Json::array();
  for (const analysis::Crossing& crossing : row.crossings) {
    json["reaches"].push_back({{"limit", crossing.limit},
                               {"value", Number(crossing.value)},
                               {"day", Number(crossing.day)},
                               {"earliest_day", Number(crossing.earliest)},
                               {"latest_day", Number(crossing.latest)}});
  }
  json["temperature_span_k"] = Number(row.temperature_span_k);
  return json;
}

Json StandbyJson(const analysis::StandbyHistory& standby) {
  Json pauses = Json::array();
  for (const analysis::Pause& pause : standby.pauses) {
    pauses.push_back(
        {{"hours", Number(pause.hours)}, {"lost_percent", Number(pause.lost_percent)}});
  }
  return {{"percent_per_day", Number(standby.per_day)},
          {"uncertainty", Number(standby.uncertainty)},
          {"watt", standby.watt > 0 ? Number(standby.watt) : Json(nullptr)},
          {"hours", Number(standby.hours)},
          {"pauses", pauses}};
}

}  // namespace

Json CheckHistoryJson(const analysis::CheckHistory& history) {
  Json json;
  json["checks"] = Json::array();
  for (const analysis::CheckAnswers& row : history.checks) {
    Json one = {{"name", row.name}, {"title", row.title}, {"answers", Json::array()}};
    for (const auto status : row.answers) one["answers"].push_back(CheckStatusName(status));
    one["latest"] = row.latest;
    one["latest_session"] = row.latest.empty() ? Json(nullptr) : Json(row.latest_session + 1);
    json["checks"].push_back(one);
  }
  json["figures"] = Json::array();
  for (const analysis::FigureRow& row : history.figures) {
    json["figures"].push_back(FigureRowJson(row));
  }
  json["standby"] = history.standby ? StandbyJson(*history.standby) : Json(nullptr);
  return json;
}

}  // namespace proofdrive::output
