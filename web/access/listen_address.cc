#include "web/access/listen_address.h"

#include <boost/asio/ip/address.hpp>

#include "core/base/text.h"

namespace proofdrive::web {
namespace {

Status Invalid(const std::string& text) {
  return Status(ErrorKind::kInvalidArgument,
                "\"" + Printable(text) +
                    "\" is not where a page can be: write a port, as in 8642, or an IP address of "
                    "this machine and a port, as in 192.168.7.2:8642 or [::1]:8642");
}

}  // namespace

std::string ListenAddress::Text() const {
  const bool six = address.find(':') != std::string::npos;
  return (six ? "[" + address + "]" : address) + ":" + std::to_string(port);
}

Result<ListenAddress> ParseListenAddress(const std::string& text) {
  const std::size_t colon = text.rfind(':');
  const bool bare = colon == std::string::npos;
  const auto port = ParseUint64(bare ? text : text.substr(colon + 1));
  std::string host = bare ? "127.0.0.1" : text.substr(0, colon);
  if (!port.ok() || *port > 65535) return Invalid(text);
  if (host == "localhost") host = "127.0.0.1";
  const bool brackets = host.starts_with('[') && host.ends_with(']');
  if (brackets) host = host.substr(1, host.size() - 2);
  boost::system::error_code error;
  const auto address = boost::asio::ip::make_address(host, error);
  if (error || address.is_v6() != brackets) return Invalid(text);
  return ListenAddress{address.to_string(), static_cast<std::uint16_t>(*port),
                       address.is_loopback()};
}

}  // namespace proofdrive::web
