#include "output/json/history_json.h"

#include <nlohmann/json.hpp>

#include "core/base/json.h"
#include "output/json/check_history_json.h"
#include "output/json/json_parts.h"
#include "output/text/history_text.h"

namespace proofdrive::output {
namespace {

using analysis::HistorySession;
using analysis::WarningRow;

Json SessionJson(const HistorySession& session) {
  Json json;
  json["path"] = session.path;
  json["id"] = session.header.id;
  json["name"] = session.header.name;
  json["stage"] = session::StageName(session.header.stage);
  json["start"] = FormatWallTime(session.start, 6);
  json["length_s"] = Seconds(session.length);
  json["frames"] = session.frames;
  json["damaged"] = session.damaged;
  json["coverage"] = CoverageJson(session.coverage);
  return json;
}

// Sessions are counted from 1, as in the text.
Json Number1(const std::optional<std::size_t>& index) {
  return index ? Json(*index + 1) : Json(nullptr);
}

Json Time(const std::optional<WallTime>& time) {
  return time ? Json(FormatWallTime(*time, 6)) : Json(nullptr);
}

Json RowJson(const WarningRow& row) {
  Json json;
  json["name"] = row.name;
  json["text"] = row.text;
  json["severity"] = decoders::WarningSeverityName(row.severity);
  json["sessions"] = Json::array();
  for (const analysis::HistoryCell cell : row.cells) {
    json["sessions"].push_back(analysis::HistoryCellName(cell));
  }
  json["on_now"] = row.OnNow();
  json["not_proven"] = row.Unproven();
  json["known_in"] = row.known;
  json["on_in"] = row.on;
  json["came_back"] = row.returns;
  json["first_session"] = Number1(row.first_on);
  json["first_set"] = Time(row.first_set);
  json["last_session"] = Number1(row.last_on);
  json["last_set"] = Time(row.last_set);
  json["off_since"] = row.off_since;
  json["tested_since"] = row.tested_since;
  json["chance_at_most"] =
      row.tested_since > 0 ? Json(analysis::RecurrenceBound(row.tested_since)) : Json(nullptr);
  json["why"] = RecurrenceText(row);
  json["stands_on"] = FootingJson(row.stands_on);
  return json;
}

}  // namespace

std::string HistoryJson(const analysis::History& history, const analysis::CheckHistory& checks) {
  Json json;
  json["answer"] = HistoryHeadline(history);
  json["sessions"] = Json::array();
  for (const HistorySession& session : history.sessions) {
    json["sessions"].push_back(SessionJson(session));
  }
  json["warnings"] = Json::array();
  for (const WarningRow& row : history.warnings) json["warnings"].push_back(RowJson(row));
  json.update(CheckHistoryJson(checks));
  json["all_guesses"] = history.AllGuessesSentence();
  return DumpJsonDocument(json);
}

}  // namespace proofdrive::output
