#include "daemon/control/live_socket.h"

#include <boost/beast/core/flat_buffer.hpp>
#include <boost/beast/websocket.hpp>
#include <utility>

namespace proofdrive::daemon {
namespace {

namespace asio = boost::asio;
namespace beast = boost::beast;
namespace websocket = beast::websocket;
using ErrorCode = boost::system::error_code;

constexpr std::size_t kLongestMessage = 1024;  // of what a page may send

// Lives as long as an operation of it is pending: a read always is.
class LiveSocket : public LiveListener, public std::enable_shared_from_this<LiveSocket> {
 public:
  LiveSocket(WebStream stream, const WebService& service)
      : stream_(std::move(stream)), service_(service) {
    ++service_.load->connections;
  }
  ~LiveSocket() override {
    if (listening_) service_.listeners->Remove(*this);
    --service_.load->connections;
  }

  void Accept(const WebSocketRequest& request) {
    websocket::stream_base::timeout timeout;
    timeout.handshake_timeout = std::chrono::seconds(10);
    timeout.idle_timeout = std::chrono::seconds(30);
    timeout.keep_alive_pings = true;
    stream_.set_option(timeout);
    stream_.read_message_max(kLongestMessage);
    stream_.text(true);
    beast::get_lowest_layer(stream_).expires_never();
    stream_.async_accept(request, [self = shared_from_this()](ErrorCode error) {
      if (error) return;
      self->listening_ = true;
      self->service_.listeners->Add(*self);
      self->Read();
    });
  }

  void Offer(const SharedText& vehicle, const SharedText& now) override {
    if (busy_ || closed_) return;
    const bool introduce = vehicle != told_;
    if (introduce) told_ = vehicle;
    Write(introduce ? vehicle : now);
  }

 private:
  void Write(SharedText text) {
    busy_ = true;
    const asio::const_buffer bytes = asio::buffer(*text);
    stream_.async_write(
        bytes, [self = shared_from_this(), text = std::move(text)](ErrorCode error, std::size_t) {
          self->busy_ = false;
          if (error) self->Close();
        });
  }

  void Read() {
    stream_.async_read(buffer_, [self = shared_from_this()](ErrorCode error, std::size_t) {
      self->buffer_.clear();
      if (error) return self->Close();
      self->Read();
    });
  }

  void Close() {
    closed_ = true;
    ErrorCode ignored;
    beast::get_lowest_layer(stream_).socket().close(ignored);
  }

  websocket::stream<WebStream> stream_;
  const WebService service_;
  beast::flat_buffer buffer_;
  SharedText told_;  // the description the page has; also keeps it alive to be compared with
  bool busy_ = false;
  bool closed_ = false;
  bool listening_ = false;
};

}  // namespace

void ServeLive(WebStream stream, const WebSocketRequest& request, const WebService& service) {
  std::make_shared<LiveSocket>(std::move(stream), service)->Accept(request);
}

}  // namespace proofdrive::daemon
