#include "output/json/decode_json.h"

#include <nlohmann/json.hpp>

#include "core/base/json.h"
#include "output/json/json_parts.h"
#include "output/words/signal_words.h"

namespace proofdrive::output {
namespace {

Json SignalJson(const decoders::Signal& signal, const SignalSummary& summary) {
  Json json;
  json["signal"] = signal.name;
  json["unit"] = signal.unit;
  json["values"] = summary.values;
  json["absent"] = summary.absent;
  json["out_of_range"] = summary.out_of_range;
  json["lowest"] = Decoded(summary.lowest);
  json["highest"] = Decoded(summary.highest);
  json["latest"] = Json::array();
  for (std::size_t i = 0; i < summary.latest.size(); ++i) {
    const decoders::Value& value = summary.latest[i];
    const bool number = value.time != WallTime() && value.validity != decoders::Validity::kAbsent;
    std::string state = value.time != WallTime() ? StateText(signal, value) : "";
    if (state.empty()) state = summary.latest_texts[i];
    json["latest"].push_back(
        {{"value", number ? Decoded(value.number) : Json(nullptr)}, {"state", std::move(state)}});
  }
  return json;
}

}  // namespace

std::string SummaryJson(const SessionSummary& summary) {
  Json json;
  json["frames"] = summary.frames;
  json["not_described"] = summary.not_described;
  json["from_s"] = Seconds(summary.from);
  json["length_s"] = Seconds(summary.length - summary.from);
  json["signals"] = Json::array();
  for (std::size_t i = 0; i < summary.signals.size(); ++i) {
    if (!summary.chosen[i]) continue;
    json["signals"].push_back(SignalJson(summary.definitions->signals[i], summary.signals[i]));
  }
  json["faults"] = FaultsJson(*summary.definitions, summary.faults);
  return DumpJsonDocument(json);
}

}  // namespace proofdrive::output
