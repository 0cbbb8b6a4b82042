// Takes in connections on one address and serves them.
#pragma once

#include <boost/asio/io_context.hpp>
#include <boost/asio/steady_timer.hpp>
#include <chrono>
#include <string>
#include <utility>

#include "core/base/log.h"
#include "daemon/control/connection.h"

namespace proofdrive::daemon {

// `Protocol` is asio's local::stream_protocol or ip::tcp. On the web thread once accepting.
template <class Protocol>
class Listener {
 public:
  Listener(boost::asio::io_context& context, Site site, LiveListeners& live, std::size_t limit,
           std::string name, Log& log)
      : acceptor(context),
        site_(std::move(site)),
        service_{&site_, &live, std::make_shared<WebLoad>()},
        limit_(limit),
        name_(std::move(name)),
        log_(log),
        retry_(context) {}

  void Accept() {
    acceptor.async_accept([this](Error error, typename Protocol::socket socket) {
      if (error) return AcceptLater(error);
      if (service_.load->connections < limit_) ServeConnection(std::move(socket), service_);
      Accept();
    });
  }

  // Any thread.
  std::size_t unanswered() const { return service_.load->unanswered; }

  typename Protocol::acceptor acceptor;  // to be bound and listening before Accept

 private:
  using Error = boost::system::error_code;

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
  const std::size_t limit_;
  const std::string name_;
  Log& log_;
  boost::asio::steady_timer retry_;
};

}  // namespace proofdrive::daemon
