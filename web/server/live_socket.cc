#include "web/server/live_socket.h"

#include <boost/beast/http/string_body.hpp>
#include <utility>

#include "web/server/live_connection.h"

namespace proofdrive::web {

namespace websocket = boost::beast::websocket;

constexpr std::size_t kLongestMessage = 1024;  // of what a page may send

LiveConnection::LiveConnection(WebStream stream, const std::string& address,
                               const WebService& service)
    : Guest(address), stream_(std::move(stream)), service_(service) {
  service_.guests->Add(*this);
}

LiveConnection::~LiveConnection() {
  if (listening_) service_.listeners->Remove(*this);
  service_.guests->Remove(*this);
}

void LiveConnection::Accept(const HttpRequest& request) {
  websocket::stream_base::timeout timeout;
  timeout.handshake_timeout = std::chrono::seconds(10);
  timeout.idle_timeout = std::chrono::seconds(30);
  timeout.keep_alive_pings = true;
  stream_.set_option(timeout);
  stream_.read_message_max(kLongestMessage);
  stream_.text(true);
  stream_.async_accept(request, [self = shared_from_this()](ErrorCode error) {
    if (error) return;
    self->listening_ = true;
    self->service_.listeners->Add(*self);
    self->Read();
  });
}

void ServeLive(WebStream stream, const std::string& address, const HttpRequest& request,
               const WebService& service) {
  std::make_shared<LiveConnection>(std::move(stream), address, service)->Accept(request);
}

}  // namespace proofdrive::web
