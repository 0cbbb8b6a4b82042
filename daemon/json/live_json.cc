#include "daemon/json/live_json.h"

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "daemon/json/status_json.h"
#include "daemon/json/value_json.h"

namespace proofdrive::daemon {
namespace {

using nlohmann::json;

double Seconds(WallTime time) { return static_cast<double>(time.time_since_epoch().count()) / 1e9; }

json SecondsOrNull(WallTime time) {
  return time.time_since_epoch().count() == 0 ? json() : json(Seconds(time));
}

char LetterOf(const LatestValue& latest) {
  if (latest.stale) return 's';
  switch (latest.value.validity) {
    case decoders::Validity::kValid:
      return 'v';
    case decoders::Validity::kAbsent:
      return 'a';
    case decoders::Validity::kOutOfRange:
      return 'o';
  }
  return 'a';
}

json SignalJson(const decoders::Signal& signal) {
  json states = json::array();
  for (const decoders::StateName& state : signal.states) states.push_back(state.name);
  json object{{"name", signal.name},
              {"unit", signal.unit},
              {"role", signal.role},
              {"frame", signal.frame},
              {"states", states},
              {"series", signal.is_series},
              {"is_text", signal.encoding == decoders::Encoding::kText},
              {"count", signal.count},
              {"low", nullptr},
              {"high", nullptr},
              {"positive", signal.positive},
              {"step", std::abs(signal.scale)}};
  if (signal.range) {
    object["low"] = signal.range->low;
    object["high"] = signal.range->high;
  }
  return object;
}

json ChannelsJson(const Snapshot& snapshot) {
  json channels = json::array();
  for (const ChannelTraffic& traffic : snapshot.channels) {
    channels.push_back({{"frames", traffic.frames},
                        {"frames_per_s", ShortNumber(traffic.frames_per_s)},
                        {"errors", traffic.errors},
                        {"load_least", ShortNumber(traffic.load_least)},
                        {"load_most", ShortNumber(traffic.load_most)},
                        {"state", traffic.state},
                        {"adapter", AdapterJson(traffic.condition)}});
  }
  return channels;
}

json WarningsJson(const Snapshot& snapshot, const std::vector<WarningPast>& past) {
  json warnings = json::array();
  for (std::size_t i = 0; i < snapshot.warnings.size(); ++i) {
    const decoders::WarningSpan& span = snapshot.warnings[i];
    json row{{"state", decoders::WarningStateName(span.kind)}, {"since", SecondsOrNull(span.from)}};
    if (i < past.size() && past[i].to.time_since_epoch().count() != 0) {
      row["was_on"] = {Seconds(past[i].from), Seconds(past[i].to)};
    }
    warnings.push_back(std::move(row));
  }
  return warnings;
}

// One entry per signal: null while nothing was received, [value, letter, age, state name] for a
// scalar, [[values], "letters", age] for a series.
json ValuesJson(const Snapshot& snapshot) {
  const auto& signals = snapshot.definitions->signals;
  json values(std::vector<json>(signals.size()));
  for (const LatestValue& latest : snapshot.values) {
    const decoders::Signal& signal = signals[latest.value.signal];
    const double age = std::max(0.0, ToSeconds(snapshot.time - latest.value.time));
    const json tenths = std::round(age * 10) / 10;
    const json value = ValueOrNull(latest);
    json& row = values[latest.value.signal];
    if (!signal.is_series) {
      row = {value, std::string(1, LetterOf(latest)), tenths};
      const std::string state = StateName(signal, latest);
      if (!state.empty()) row.push_back(state);
      continue;
    }
    if (row.is_null()) row = {json::array(), "", tenths};
    row[0].push_back(value);
    row[1] = row[1].get_ref<const std::string&>() + LetterOf(latest);
    if (tenths < row[2]) row[2] = tenths;
  }
  return values;
}

json OptionalRecording(const std::optional<RecordingInfo>& recording) {
  return recording ? RecordingJson(*recording) : json();
}

}  // namespace

json VehicleJson(const Snapshot& snapshot) {
  json object{{"kind", "vehicle"},           {"vehicle", ""},
              {"sources", snapshot.sources}, {"channels", json::array()},
              {"signals", json::array()},    {"warnings", json::array()}};
  for (const ChannelTraffic& traffic : snapshot.channels) {
    object["channels"].push_back({{"name", traffic.channel.name},
                                  {"bus", traffic.channel.bus},
                                  {"bitrate", traffic.channel.bitrate}});
  }
  if (!snapshot.definitions) return object;
  object["vehicle"] = snapshot.definitions->vehicle;
  for (const decoders::Signal& signal : snapshot.definitions->signals) {
    object["signals"].push_back(SignalJson(signal));
  }
  for (const decoders::Warning& warning : snapshot.definitions->warnings) {
    object["warnings"].push_back({{"name", warning.name},
                                  {"text", warning.text},
                                  {"when", warning.when.text},
                                  {"severity", decoders::WarningSeverityName(warning.severity)}});
  }
  return object;
}

json NowJson(const Snapshot& snapshot, const std::vector<WarningPast>& past) {
  json object{{"kind", "now"},
              {"time", Seconds(snapshot.time)},
              {"frames", snapshot.frames},
              {"frames_per_s", ShortNumber(snapshot.frames_per_s)},
              {"dropped", snapshot.drops},
              {"recording", OptionalRecording(snapshot.recording)},
              {"last_recording", OptionalRecording(snapshot.last_recording)},
              {"channels", ChannelsJson(snapshot)},
              {"problems", ProblemsJson(snapshot)},
              {"warnings", WarningsJson(snapshot, past)},
              {"values", json::array()}};
  if (snapshot.definitions) object["values"] = ValuesJson(snapshot);
  return object;
}

}  // namespace proofdrive::daemon
