#include "daemon/json/status_json.h"

#include <nlohmann/json.hpp>
#include <string>

#include "daemon/json/value_json.h"
#include "daemon/live/diagnosis.h"

namespace proofdrive::daemon {
namespace {

using nlohmann::json;

json CountedJson(const ControllerCounts& counts) {
  return {{"bus_errors", counts.bus_errors},
          {"error_warning", counts.error_warning},
          {"error_passive", counts.error_passive},
          {"bus_off", counts.bus_off},
          {"lost_arbitration", counts.lost_arbitration},
          {"restarts", counts.restarts}};
}

json FaultsJson(const FaultCounts& faults) {
  json object = json::object();
  for (std::size_t i = 0; i < faults.size(); ++i) {
    object[std::string(BusFaultName(static_cast<BusFault>(i)))] = faults[i];
  }
  return object;
}

json ChannelJson(const ChannelTraffic& traffic) {
  return {{"number", traffic.channel.number},
          {"name", traffic.channel.name},
          {"bus", traffic.channel.bus},
          {"bitrate", traffic.channel.bitrate},
          {"timestamps", traffic.channel.timestamps},
          {"frames", traffic.frames},
          {"frames_per_s", traffic.frames_per_s},
          {"errors", traffic.errors},
          {"load_least", traffic.load_least},
          {"load_most", traffic.load_most},
          {"described", traffic.described},
          {"state", traffic.state},
          {"adapter", AdapterJson(traffic.condition)}};
}

json ProblemJson(const Problem& problem, const Snapshot& snapshot) {
  json object{{"urgency", UrgencyName(problem.urgency)},
              {"channel", nullptr},
              {"what", problem.what},
              {"remedy", problem.remedy}};
  for (const ChannelTraffic& traffic : snapshot.channels) {
    if (traffic.channel.number == problem.channel) object["channel"] = traffic.channel.name;
  }
  return object;
}

json WarningJson(const decoders::Warning& warning, const decoders::WarningSpan& span) {
  json object{{"name", warning.name},
              {"text", warning.text},
              {"severity", decoders::WarningSeverityName(warning.severity)},
              {"state", decoders::WarningStateName(span.kind)},
              {"since", nullptr}};
  if (span.from.time_since_epoch().count() != 0) object["since"] = FormatWallTime(span.from, 3);
  return object;
}

json ValueJson(const decoders::Signal& signal, const LatestValue& latest) {
  std::string name = signal.name;
  if (signal.is_series) name += "[" + std::to_string(latest.value.element + 1) + "]";
  return {{"signal", name},
          {"value", ValueOrNull(latest)},
          {"unit", signal.unit},
          {"state", StateName(signal, latest)},
          {"validity", decoders::ValidityName(latest.value.validity)},
          {"stale", latest.stale}};
}

json CountsJson(const Snapshot& snapshot) {
  json counts = json::array();
  for (std::size_t i = 0; i < kCounterCount; ++i) {
    const CounterInfo& info = kCounterInfo[i];
    counts.push_back({{"name", info.name}, {"count", snapshot.counts[i]}, {"advice", info.advice}});
  }
  return counts;
}

json OptionalRecording(const std::optional<RecordingInfo>& recording) {
  return recording ? RecordingJson(*recording) : json();
}

}  // namespace

json AdapterJson(const std::optional<ChannelCondition>& condition) {
  if (!condition) return nullptr;
  const LinkInfo& link = condition->link;
  json object{{"interface", link.name},
              {"state", condition->state},
              {"bus_state", condition->bus_state},
              {"listen_only", nullptr},
              {"modes", link.modes},
              {"receive_buffer", condition->receive_buffer},
              {"tx_errors", link.transmit_errors},
              {"rx_errors", link.receive_errors},
              {"overruns", link.overruns},
              {"counted", CountedJson(link.counts)},
              {"faults", FaultsJson(condition->faults)}};
  if (link.has_controller) object["listen_only"] = link.listen_only;
  return object;
}

json ProblemsJson(const Snapshot& snapshot) {
  json problems = json::array();
  for (const Problem& problem : Diagnose(snapshot)) {
    problems.push_back(ProblemJson(problem, snapshot));
  }
  return problems;
}

json RecordingJson(const RecordingInfo& recording) {
  return {{"name", recording.name},
          {"path", recording.path},
          {"stage", session::StageName(recording.stage)},
          {"frames", recording.written.frames},
          {"frames_durable", recording.durable},
          {"events", recording.written.events},
          {"bytes", recording.written.bytes + recording.written.journal_bytes},
          {"length_s", ToSeconds(recording.length)},
          {"dropped", recording.drops},
          {"parts", recording.parts},
          {"complete", recording.complete},
          {"paused", recording.paused},
          {"trouble", recording.trouble},
          {"problem", recording.problem}};
}

json SpaceJson(const SpaceInfo& space, const std::optional<std::uint64_t>& free_bytes) {
  json object{{"free_bytes", nullptr},        {"sessions_bytes", nullptr},
              {"budget_bytes", nullptr},      {"over_budget", space.over_budget},
              {"filled_by", space.filled_by}, {"deleted", space.deleted}};
  if (free_bytes) object["free_bytes"] = *free_bytes;
  if (!space.budget) return object;
  object["sessions_bytes"] = space.used;
  object["budget_bytes"] = *space.budget;
  return object;
}

json StatusJson(const Snapshot& snapshot) {
  json object{{"time", FormatWallTime(snapshot.time, 3)},
              {"sources", snapshot.sources},
              {"frames", snapshot.frames},
              {"frames_per_s", snapshot.frames_per_s},
              {"dropped", snapshot.drops},
              {"recording", OptionalRecording(snapshot.recording)},
              {"last_recording", OptionalRecording(snapshot.last_recording)},
              {"not_recording", snapshot.not_recording},
              {"space", SpaceJson(snapshot.space, snapshot.free_bytes)},
              {"channels", json::array()},
              {"problems", ProblemsJson(snapshot)},
              {"warnings", json::array()},
              {"values", json::array()},
              {"counts", CountsJson(snapshot)}};
  for (const ChannelTraffic& traffic : snapshot.channels) {
    object["channels"].push_back(ChannelJson(traffic));
  }
  if (!snapshot.definitions) return object;
  for (std::size_t i = 0; i < snapshot.warnings.size(); ++i) {
    object["warnings"].push_back(
        WarningJson(snapshot.definitions->warnings[i], snapshot.warnings[i]));
  }
  for (const LatestValue& latest : snapshot.values) {
    object["values"].push_back(
        ValueJson(snapshot.definitions->signals[latest.value.signal], latest));
  }
  return object;
}

}  // namespace proofdrive::daemon
