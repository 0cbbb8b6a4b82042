#include "mqtt/broker_address.h"

#include "core/base/text.h"

namespace proofdrive::mqtt {

Result<BrokerAddress> ParseBroker(const std::string& text) {
  const std::size_t colon = text.rfind(':');
  const bool has_port = colon != std::string::npos && text.find(']', colon) == std::string::npos;
  std::string host = has_port ? text.substr(0, colon) : text;
  const auto port = has_port ? ParseUint64(text.substr(colon + 1)) : Result<std::uint64_t>(0);
  if (host.starts_with('[') && host.ends_with(']')) host = host.substr(1, host.size() - 2);
  const bool bad_port = !port.ok() || (has_port && *port == 0) || (port.ok() && *port > 65535);
  if (host.empty() || bad_port || host.find_first_of("/ []") != std::string::npos) {
    return Status(
        ErrorKind::kInvalidArgument,
        "\"" + Printable(text) +
            "\" is no broker: write its name or address and, when it is not the usual one, "
            "its port, as in broker.local:1883");
  }
  return BrokerAddress{host, static_cast<std::uint16_t>(*port)};
}

Status CheckTopicPrefix(const std::string& prefix) {
  const bool good = !prefix.empty() && prefix.size() <= 200 && prefix.front() != '/' &&
                    prefix.back() != '/' && prefix.front() != '$' &&
                    prefix.find_first_of(std::string("+#\0", 3)) == std::string::npos;
  if (good) return Status::Ok();
  return Status(
      ErrorKind::kInvalidArgument,
      "\"" + Printable(prefix) +
          "\" cannot begin a topic: use up to 200 characters without \"+\" and \"#\", not "
          "beginning with \"$\" or \"/\" and not ending with \"/\"");
}

}  // namespace proofdrive::mqtt
