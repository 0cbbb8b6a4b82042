// The words of --mqtt and --mqtt-topic.
#pragma once

#include <cstdint>
#include <string>

#include "core/base/result.h"

namespace proofdrive::mqtt {

struct BrokerAddress {
  std::string host;
  std::uint16_t port = 0;  // 0: the usual one, 1883, with TLS 8883
};

// "broker", "broker:1883", "[::1]:1883".
Result<BrokerAddress> ParseBroker(const std::string& text);
// A prefix has no wildcard, no "/" at its ends and does not begin with "$".
Status CheckTopicPrefix(const std::string& prefix);

}  // namespace proofdrive::mqtt
