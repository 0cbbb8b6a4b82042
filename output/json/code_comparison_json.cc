#include "output/json/code_comparison_json.h"

#include <nlohmann/json.hpp>
#include <utility>

#include "core/base/text.h"
#include "decoders/services/service_names.h"
#include "output/words/code_words.h"

namespace proofdrive::output {
namespace {

using analysis::CodeEvidence;
using analysis::InstalledItem;

std::string Hex(std::uint8_t value) {
  const std::uint8_t bytes[] = {value};
  return HexBytes(bytes);
}

std::string StateAtEnd(const CodeEvidence& evidence) {
  if (!evidence.known_at_end) return "unknown";
  return evidence.last_known_on ? "on" : "off";
}

const char* TestName(analysis::CodeTest test) {
  switch (test) {
    case analysis::CodeTest::kPassed:
      return "passed";
    case analysis::CodeTest::kNotSinceClear:
      return "not completed since clear";
    case analysis::CodeTest::kNotThisCycle:
      return "not completed this cycle";
    case analysis::CodeTest::kFailedSinceClear:
      return "failed since clear";
    case analysis::CodeTest::kNotSaid:
      return "not said";
    case analysis::CodeTest::kNotListed:
      return "not listed";
    case analysis::CodeTest::kMonitorsNotComplete:
      return "monitors not complete";
    case analysis::CodeTest::kUnknown:
      return "unknown";
  }
  return "";
}

Json EvidenceJson(const CodeEvidence& evidence) {
  Json status;
  Json words = Json::array();
  if (evidence.last && evidence.last->status) {
    status = Hex(*evidence.last->status);
    words = decoders::StatusInWords(*evidence.last->status, evidence.available.value_or(0xFF));
  }
  Json json;
  json["at_end"] = StateAtEnd(evidence);
  json["test"] = TestName(evidence.test);
  json["listed"] = evidence.last.has_value();
  json["status"] = std::move(status);
  json["status_words"] = std::move(words);
  json["status_bits_supported"] = evidence.available ? Json(Hex(*evidence.available)) : Json();
  json["stored"] = evidence.last && evidence.last->stored;
  json["pending"] = evidence.last && evidence.last->pending;
  json["permanent"] = evidence.last && evidence.last->permanent;
  json["told"] = evidence.rounds;
  json["last_told_s"] = OptionalSeconds(evidence.last_told);
  json["times_set"] = evidence.times_set;
  json["first_set_s"] = OptionalSeconds(evidence.first_set);
  json["last_set_s"] = OptionalSeconds(evidence.last_set);
  json["codes_cleared_s"] = Json::array();
  for (const Duration time : evidence.cleared) {
    json["codes_cleared_s"].push_back(Seconds(time));
  }
  json["why_unknown"] = evidence.why_unknown;
  return json;
}

Json PlaceJson(const analysis::LikelyPlace& place) {
  using analysis::PlaceFit;
  const analysis::StreamName& stream = place.stream;
  return {
      {"bus", stream.bus},
      {"id", FormatId(stream.id, stream.flags)},
      {"extended", (stream.flags & kExtendedId) != 0},
      {"likeness", Figures(place.likeness)},
      {"confirmed", place.fit == PlaceFit::kNotTold ? Json() : Json(place.fit == PlaceFit::kFits)},
      {"why", place.why}};
}

Json ItemJson(const InstalledItem& item) {
  const auto text = [&](const std::optional<std::vector<std::uint8_t>>& data) {
    return data ? Json(IdentifierText(item.identifier, *data, false)) : Json();
  };
  const std::uint8_t number[] = {static_cast<std::uint8_t>(item.identifier >> 8),
                                 static_cast<std::uint8_t>(item.identifier & 0xFF)};
  return {{"identifier", HexBytes(number, "")},
          {"name", decoders::IdentifierName(item.identifier)},
          {"before", text(item.before)},
          {"after", text(item.after)},
          {"changed", item.Changed()}};
}

}  // namespace

Json CodeVerdictJson(const analysis::CodeVerdict& code) {
  const auto title = decoders::TroubleCodeTitle(code.code.code);
  Json json;
  json["name"] = code.name;
  json["kind"] = "code";
  json["unit"] = code.unit;
  json["severity"] = decoders::WarningSeverityName(code.severity);
  json["verdict"] = analysis::VerdictName(code.verdict);
  json["why"] = code.why;
  json["text"] = code.text;
  json["text_basis"] = title ? Json(decoders::BasisName(title->basis)) : Json();
  json["before"] = EvidenceJson(code.before);
  json["after"] = EvidenceJson(code.after);
  return json;
}

Json UnitsJson(const analysis::Comparison& comparison) {
  Json list = Json::array();
  for (const analysis::UnitComparison& unit : comparison.units) {
    Json json;
    json["unit"] = unit.unit;
    json["bus"] = unit.bus;
    json["answer"] = FormatId(unit.answer.id,
                              unit.answer.extended ? std::uint8_t{kExtendedId} : std::uint8_t{0});
    json["answered_before"] = unit.answered_before;
    json["answered_after"] = unit.answered_after;
    json["changed"] = unit.Comparable() ? Json(unit.Changed()) : Json();
    json["installed"] = Json::array();
    for (const InstalledItem& item : unit.installed) json["installed"].push_back(ItemJson(item));
    list.push_back(std::move(json));
  }
  return list;
}

Json DefinitionChangesJson(const analysis::Comparison& comparison) {
  Json list = Json::array();
  for (const analysis::DefinitionChange& change : comparison.definitions) {
    Json json = {{"frame", change.frame},   {"signal", change.signal}, {"problem", change.what},
                 {"before", change.before}, {"after", change.after},   {"likely", nullptr}};
    if (!change.places.empty()) json["likely"] = PlaceJson(change.places.front());
    list.push_back(std::move(json));
  }
  return list;
}

}  // namespace proofdrive::output
