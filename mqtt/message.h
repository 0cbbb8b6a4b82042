// What is published: one message of MQTT 3.1.1 (ISO/IEC 20922), quality of service 0.
#pragma once

#include <functional>
#include <string>
#include <vector>

namespace proofdrive::mqtt {

struct Message {
  std::string topic;
  std::string payload;
  bool retained = false;  // the broker keeps it for those who come later

  friend bool operator==(const Message&, const Message&) = default;
};

// Gives the messages of the next round. `anew`: another connection, so the broker may have lost
// everything. Called on the publisher's thread, about once a second.
using Collect = std::function<std::vector<Message>(bool anew)>;

}  // namespace proofdrive::mqtt
