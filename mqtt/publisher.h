// Publishes messages to an MQTT broker (MQTT 3.1.1, ISO/IEC 20922).
//
// On threads of its own. It asks for messages once a second, and only when everything of the last
// time has left this machine: a broker that hangs costs one round of messages.
#pragma once

#include <memory>
#include <string>

#include "core/base/log.h"
#include "core/base/result.h"
#include "mqtt/broker_address.h"
#include "mqtt/message.h"

namespace proofdrive::mqtt {

struct PublisherSetup {
  BrokerAddress broker;
  std::string prefix = "proofdrive";  // of every topic
  std::string user;                   // empty: no login
  std::string password_file;          // its first line is the password
  std::string authority_file;  // certificates (PEM) the broker is checked against; empty: no TLS
};

class Publisher {
 public:
  // Begins to connect, and goes on trying for ever: that a broker is not there is only logged.
  // Besides what `collect` gives, PREFIX/status tells whether the program is there; the broker
  // itself sets it to "offline" when it is not. kUnavailable when the program was built without
  // libmosquitto; an error when a file of the setup cannot be read. `log` must outlive it.
  static Result<std::unique_ptr<Publisher>> Create(const PublisherSetup& setup, Collect collect,
                                                   Log& log);
  virtual ~Publisher() = default;  // tells the broker and stops
};

}  // namespace proofdrive::mqtt
