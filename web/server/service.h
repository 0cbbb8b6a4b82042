// What connections have in common: the kind of stream, what is served, how much there is to do.
#pragma once

#include <atomic>
#include <boost/asio/basic_stream_socket.hpp>
#include <boost/asio/generic/stream_protocol.hpp>
#include <boost/asio/io_context.hpp>
#include <cstddef>
#include <memory>

#include "web/server/guests.h"
#include "web/server/live_listeners.h"
#include "web/server/site.h"

namespace proofdrive::web {

// With the executor of the one event loop there is: what asio makes of any executor costs the
// compiler several times as much.
using Executor = boost::asio::io_context::executor_type;
using WebStream = boost::asio::basic_stream_socket<boost::asio::generic::stream_protocol, Executor>;

// How much there is to do; shared by the connections and the server.
struct WebLoad {
  std::atomic<std::size_t> unanswered{0};  // requests read whose answer has not been written
};

// What a connection serves. Outlives it, except `load`, which it shares.
struct WebService {
  const Site* site = nullptr;
  LiveListeners* listeners = nullptr;
  Guests* guests = nullptr;
  std::shared_ptr<WebLoad> load;
};

}  // namespace proofdrive::web
