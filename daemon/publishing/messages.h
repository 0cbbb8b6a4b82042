// What is published over MQTT: topics and payloads, apart from how they travel. docs/mqtt.md.
#pragma once

#include <string>
#include <vector>

#include "daemon/live/snapshot.h"
#include "mqtt/message.h"

namespace proofdrive::daemon {

// One thread.
class MqttMessages {
 public:
  // `signals`: names, or "all". Names that no definition file has are never published.
  MqttMessages(std::string prefix, std::vector<std::string> signals);

  // The chosen signals as they are, then warnings and the recording where they have changed since
  // the last call, or all of them after Restart.
  std::vector<mqtt::Message> Collect(const Snapshot& snapshot);
  // Another connection: the broker may have lost everything.
  void Restart();

 private:
  bool IsChosen(const std::string& signal) const;
  void CollectSignals(const Snapshot& snapshot, std::vector<mqtt::Message>& messages) const;
  void CollectWarnings(const Snapshot& snapshot, std::vector<mqtt::Message>& messages);
  void CollectRecording(const Snapshot& snapshot, std::vector<mqtt::Message>& messages);
  std::string Topic(std::string_view kind, const std::string& name) const;

  const std::string prefix_;
  const std::vector<std::string> signals_;
  std::vector<std::string> told_warnings_;  // payloads
  std::string told_recording_;
};

}  // namespace proofdrive::daemon
