// One HTTP/1.1 connection, over a Unix socket or TCP alike; becomes a WebSocket when asked to.
#pragma once

#include <atomic>
#include <boost/asio/generic/stream_protocol.hpp>
#include <boost/beast/core/basic_stream.hpp>
#include <boost/beast/http.hpp>
#include <cstddef>
#include <memory>

#include "daemon/control/live_listeners.h"
#include "daemon/control/site.h"

namespace proofdrive::daemon {

using WebStream = boost::beast::basic_stream<boost::asio::generic::stream_protocol>;
using WebSocketRequest = boost::beast::http::request<boost::beast::http::string_body>;

// How much there is to do; shared by the connections and the server.
struct WebLoad {
  std::atomic<std::size_t> connections{0};
  std::atomic<std::size_t> unanswered{0};  // requests read whose answer has not been written
};

// What a connection serves. Outlives it, except `load`, which it shares.
struct WebService {
  const Site* site = nullptr;
  LiveListeners* listeners = nullptr;
  std::shared_ptr<WebLoad> load;
};

// What the site looks at of a request.
WebRequest ToWebRequest(const WebSocketRequest& request);

// Serves until the client leaves, is silent for half a minute or sends nonsense. Lives as long as
// an operation of it is pending. On the web thread.
void ServeConnection(boost::asio::generic::stream_protocol::socket socket,
                     const WebService& service);

}  // namespace proofdrive::daemon
