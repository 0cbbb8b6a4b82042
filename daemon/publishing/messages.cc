#include "daemon/publishing/messages.h"

#include <algorithm>
#include <nlohmann/json.hpp>
#include <utility>

#include "core/base/json.h"
#include "daemon/json/value_json.h"

namespace proofdrive::daemon {
namespace {

using nlohmann::json;

json TimeOrNull(WallTime time) {
  return time.time_since_epoch().count() == 0 ? json() : json(FormatWallTime(time, 3));
}

json SignalJson(const decoders::Signal& signal, const LatestValue& latest) {
  json object{{"value", ValueOrNull(latest)},
              {"unit", signal.unit},
              {"time", FormatWallTime(latest.value.time, 3)},
              {"validity", decoders::ValidityName(latest.value.validity)},
              {"stale", latest.stale}};
  const std::string state = StateName(signal, latest);
  if (!state.empty()) object["state"] = state;
  return object;
}

}  // namespace

MqttMessages::MqttMessages(std::string prefix, std::vector<std::string> signals)
    : prefix_(std::move(prefix)), signals_(std::move(signals)) {}

// A name may not change the levels of a topic or be a wildcard (MQTT 3.1.1 cl. 4.7).
std::string MqttMessages::Topic(std::string_view kind, const std::string& name) const {
  std::string level = name;
  std::replace_if(
      level.begin(), level.end(), [](char c) { return c == '/' || c == '+' || c == '#' || c == 0; },
      '_');
  return prefix_ + "/" + std::string(kind) + "/" + level;
}

bool MqttMessages::IsChosen(const std::string& signal) const {
  return std::any_of(signals_.begin(), signals_.end(),
                     [&](const std::string& name) { return name == signal || name == "all"; });
}

void MqttMessages::CollectSignals(const Snapshot& snapshot,
                                  std::vector<mqtt::Message>& messages) const {
  for (const LatestValue& latest : snapshot.values) {
    const decoders::Signal& signal = snapshot.definitions->signals[latest.value.signal];
    if (!IsChosen(signal.name)) continue;
    std::string topic = Topic("signals", signal.name);
    if (signal.is_series) topic += "/" + std::to_string(latest.value.element + 1);
    messages.push_back({std::move(topic), DumpJson(SignalJson(signal, latest)), false});
  }
}

void MqttMessages::CollectWarnings(const Snapshot& snapshot, std::vector<mqtt::Message>& messages) {
  told_warnings_.resize(snapshot.warnings.size());
  for (std::size_t i = 0; i < snapshot.warnings.size(); ++i) {
    const decoders::Warning& warning = snapshot.definitions->warnings[i];
    const decoders::WarningSpan& span = snapshot.warnings[i];
    std::string payload =
        DumpJson(json{{"state", decoders::WarningStateName(span.kind)},
                      {"since", TimeOrNull(span.from)},
                      {"text", warning.text},
                      {"severity", decoders::WarningSeverityName(warning.severity)}});
    if (payload == told_warnings_[i]) continue;
    told_warnings_[i] = payload;
    messages.push_back({Topic("warnings", warning.name), std::move(payload), true});
  }
}

void MqttMessages::CollectRecording(const Snapshot& snapshot,
                                    std::vector<mqtt::Message>& messages) {
  const std::string name = snapshot.recording ? snapshot.recording->name : std::string();
  std::string payload =
      DumpJson(json{{"recording", snapshot.recording.has_value()}, {"name", name}});
  if (payload == told_recording_) return;
  told_recording_ = payload;
  messages.push_back({prefix_ + "/recording", std::move(payload), true});
}

std::vector<mqtt::Message> MqttMessages::Collect(const Snapshot& snapshot) {
  std::vector<mqtt::Message> messages;
  if (snapshot.definitions) {
    CollectSignals(snapshot, messages);
    CollectWarnings(snapshot, messages);
  }
  CollectRecording(snapshot, messages);
  return messages;
}

void MqttMessages::Restart() {
  told_warnings_.clear();
  told_recording_.clear();
}

}  // namespace proofdrive::daemon
