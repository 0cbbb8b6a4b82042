#include "output/json/asked_json.h"

#include <nlohmann/json.hpp>

#include "analysis/findings/session_findings.h"
#include "core/base/json.h"
#include "core/base/text.h"
#include "decoders/services/service_names.h"
#include "output/words/code_words.h"

namespace proofdrive::output {
namespace {

using decoders::UnitReport;
using Json = nlohmann::ordered_json;

std::string Byte(std::uint8_t value) {
  const std::uint8_t bytes[] = {value};
  return HexBytes(bytes);
}

Json Texted(const std::optional<decoders::BasedText>& text) {
  if (!text) return nullptr;
  return {{"text", text->text}, {"basis", BasisName(text->basis)}};
}

Json Records(const std::vector<decoders::CodeRecord>& records) {
  Json list = Json::array();
  for (const decoders::CodeRecord& record : records) {
    list.push_back({{"record", *record.record}, {"data", HexBytes(record.data, "")}});
  }
  return list;
}

Json CodeJson(const decoders::ReportedCode& code) {
  Json json = {{"code", FormatTroubleCode(code.code)},
               {"title", Texted(decoders::TroubleCodeTitle(code.code.code))},
               {"owner", decoders::TroubleCodeOwner(code.code.code)}};
  json["failure_type"] =
      code.code.failure_type ? Texted(decoders::FailureTypeText(*code.code.failure_type)) : Json();
  json["status"] = code.status ? Json(Byte(*code.status)) : Json();
  json["status_words"] =
      code.status ? Json(decoders::StatusInWords(*code.status)) : Json(Json::array());
  json["stored"] = code.stored;
  json["pending"] = code.pending;
  json["permanent"] = code.permanent;
  json["fault"] = code.is_fault();
  json["first_seen"] = FormatWallTime(code.first_seen, 6);
  json["last_seen"] = FormatWallTime(code.last_seen, 6);
  json["snapshots"] = Records(code.snapshots);
  json["extended_data"] = Records(code.extended);
  return json;
}

Json MonitorsJson(const std::optional<decoders::MonitorStatus>& status) {
  if (!status) return nullptr;
  Json monitors = Json::array();
  for (const decoders::Monitor& monitor : status->monitors) {
    monitors.push_back({{"name", monitor.name}, {"complete", monitor.complete}});
  }
  return {{"lamp", status->lamp}, {"stored", status->stored}, {"monitors", monitors}};
}

Json UnitHead(const analysis::AskedUnits& asked, const UnitReport& unit) {
  const auto id = [](decoders::BusAddress address) { return decoders::FormatAddress(address); };
  return {{"unit", UnitLabel(unit)},
          {"channel", analysis::ChannelLabel(asked.header, unit.channel)},
          {"request", unit.request ? Json(id(*unit.request)) : Json()},
          {"answer", id(unit.answer)}};
}

Json RefusalsJson(const UnitReport& unit) {
  Json list = Json::array();
  for (const decoders::ReportedRefusal& refusal : unit.refusals) {
    list.push_back({{"request", refusal.request},
                    {"code", Byte(refusal.code)},
                    {"words", decoders::DescribeRefusal(refusal.code)},
                    {"times", refusal.times}});
  }
  return list;
}

Json CodesOfUnit(const analysis::AskedUnits& asked, const UnitReport& unit) {
  Json json = UnitHead(asked, unit);
  json["lists"] = unit.lists;
  json["codes"] = Json::array();
  for (const auto& [key, code] : unit.codes) json["codes"].push_back(CodeJson(code));
  json["monitors"] = MonitorsJson(unit.monitors);
  json["refusals"] = RefusalsJson(unit);
  json["oddities"] = unit.oddities;
  json["answers"] = {{"positive", unit.positive},
                     {"refused", unit.refused},
                     {"pending_resolved", unit.pending_resolved},
                     {"pending_open", unit.pending_open},
                     {"broken", unit.broken}};
  return json;
}

Json Head(const analysis::AskedUnits& asked, const std::string& path) {
  const decoders::ConversationCounts& counts = asked.counts;
  Json requests = Json::array();
  for (const auto& [request, count] : asked.requests) {
    requests.push_back(
        {{"request", request}, {"asked", count.asked}, {"answered", count.answered}});
  }
  return {{"session", path},
          {"conversations",
           {{"all", counts.all},
            {"complete", counts.complete},
            {"unanswered", counts.unanswered},
            {"abandoned", counts.abandoned},
            {"functional", counts.functional},
            {"pending_resolved", counts.pending_resolved},
            {"pending_open", counts.pending_open},
            {"unasked_answers", asked.unasked},
            {"doubtful", asked.doubtful}}},
          {"requests", requests},
          {"silent", asked.silent}};
}

Json IdentificationOfUnit(const analysis::AskedUnits& asked, const UnitReport& unit,
                          bool show_vin) {
  Json json = UnitHead(asked, unit);
  json["identification"] = Json::array();
  for (const auto& [identifier, data] : unit.identification) {
    const bool hidden = identifier == decoders::kVinIdentifier && !show_vin;
    json["identification"].push_back(
        {{"identifier", Byte(static_cast<std::uint8_t>(identifier >> 8)) +
                            Byte(static_cast<std::uint8_t>(identifier & 0xFF))},
         {"name", decoders::IdentifierName(identifier)},
         {"value", IdentifierText(identifier, data, show_vin)},
         {"data", hidden ? Json() : Json(HexBytes(data, ""))}});
  }
  json["vehicle_information"] = Json::array();
  for (const auto& [type, information] : unit.information) {
    const bool vin = type == decoders::kVinInformation;
    json["vehicle_information"].push_back(
        {{"type", Byte(type)},
         {"name", decoders::InformationTypeName(type)},
         {"value", IdentifierText(vin ? decoders::kVinIdentifier : std::uint16_t{0},
                                  information.data, show_vin)},
         {"data", vin && !show_vin ? Json() : Json(HexBytes(information.data, ""))}});
  }
  return json;
}

}  // namespace

std::string CodesJson(const analysis::AskedUnits& asked, const std::string& path) {
  Json document = Head(asked, path);
  document["units"] = Json::array();
  for (const UnitReport& unit : asked.units) {
    document["units"].push_back(CodesOfUnit(asked, unit));
  }
  return DumpJsonDocument(document);
}

std::string IdentificationJson(const analysis::AskedUnits& asked, const std::string& path,
                               bool show_vin) {
  Json document = Head(asked, path);
  document["units"] = Json::array();
  for (const UnitReport& unit : asked.units) {
    document["units"].push_back(IdentificationOfUnit(asked, unit, show_vin));
  }
  return DumpJsonDocument(document);
}

}  // namespace proofdrive::output
