// Takes in connections on one address and serves them.
#pragma once

#include <boost/asio/basic_socket_acceptor.hpp>
#include <boost/asio/io_context.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/steady_timer.hpp>
#include <chrono>
#include <string>
#include <type_traits>
#include <utility>

#include "core/base/log.h"
#include "web/server/connection.h"
#include "web/server/server_setup.h"

namespace proofdrive::web {

// `Protocol` is asio's local::stream_protocol or ip::tcp. On the web thread once accepting.
template <class Protocol>
class Listener {
 public:
  Listener(boost::asio::io_context& context, const ServerSetup& setup, GateRules rules,
           LiveListeners& live, Guests& guests, std::string name, Log& log)
      : acceptor(context),
        site_(setup.routes, Assets(setup.files), std::move(rules)),
        service_{&site_, &live, &guests, std::make_shared<WebLoad>()},
        name_(std::move(name)),
        log_(log),
        retry_(context) {}

  void Accept() {
    acceptor.async_accept([this](Error error, Socket socket) {
      if (error) return AcceptLater(error);
      const std::string address = AddressOf(socket);
      if (service_.guests->MakeRoom(address)) {
        ServeConnection(WebStream(std::move(socket)), address, service_);
      }
      Accept();
    });
  }

  // Any thread.
  std::size_t unanswered() const { return service_.load->unanswered; }

  boost::asio::basic_socket_acceptor<Protocol, Executor>
      acceptor;  // to be bound and listening before Accept

 private:
  using Error = boost::system::error_code;
  using Socket = boost::asio::basic_stream_socket<Protocol, Executor>;

  // All who use the Unix socket are one.
  static std::string AddressOf(const Socket& socket) {
    if constexpr (std::is_same_v<Protocol, boost::asio::ip::tcp>) {
      Error ignored;
      return socket.remote_endpoint(ignored).address().to_string();
    }
    return {};
  }

  // Out of descriptors, for example: it would fail again at once.
  void AcceptLater(Error error) {
    if (error == boost::asio::error::operation_aborted) return;
    log_.Warning(name_ + ": " + error.message());
    retry_.expires_after(std::chrono::seconds(1));
    retry_.async_wait([this](Error aborted) {
      if (!aborted) Accept();
    });
  }

  const Site site_;
  const WebService service_;
  const std::string name_;
  Log& log_;
  boost::asio::steady_timer retry_;
};

}  // namespace proofdrive::web
