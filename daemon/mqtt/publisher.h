// Publishes chosen signals and warnings to an MQTT broker (MQTT 3.1.1, ISO/IEC 20922).
//
// On threads of its own. It reads the snapshot once a second, and only when everything of the last
// time has left this machine: a broker that hangs costs one round of messages, never a frame.
#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include "core/base/log.h"
#include "core/base/result.h"
#include "daemon/live/snapshot.h"

namespace proofdrive::daemon {

struct MqttSetup {
  std::string host;        // empty: nothing is published
  std::uint16_t port = 0;  // 0: 1883, with TLS 8883
  std::string prefix = "proofdrive";
  std::vector<std::string> signals;  // names, or "all"
  std::string user;                  // empty: no login
  std::string password_file;         // its first line is the password
  std::string authority_file;  // certificates (PEM) the broker is checked against; empty: no TLS
};

// "broker", "broker:1883", "[::1]:1883". Changes host and port.
Status ParseBroker(const std::string& text, MqttSetup& setup);
// A prefix has no wildcard, no "/" at its ends and does not begin with "$".
Status CheckTopicPrefix(const std::string& prefix);

class MqttPublisher {
 public:
  // Begins to connect, and goes on trying for ever: that a broker is not there is only logged.
  // kUnavailable when the program was built without libmosquitto; an error when a file of the setup
  // cannot be read. `box` and `log` must outlive the publisher.
  static Result<std::unique_ptr<MqttPublisher>> Create(const MqttSetup& setup,
                                                       const SnapshotBox& box, Log& log);
  virtual ~MqttPublisher() = default;  // tells the broker and stops
};

}  // namespace proofdrive::daemon
