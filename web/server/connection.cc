#include "web/server/connection.h"

#include <array>
#include <boost/asio/basic_waitable_timer.hpp>
#include <boost/asio/post.hpp>
#include <boost/asio/write.hpp>
#include <chrono>
#include <utility>

#include "web/server/live_socket.h"
#include "web/server/request_reader.h"

namespace proofdrive::web {
namespace {

namespace asio = boost::asio;
using Clock = std::chrono::steady_clock;
using Timer = asio::basic_waitable_timer<Clock, asio::wait_traits<Clock>, Executor>;
using ErrorCode = boost::system::error_code;

// A client that says nothing, or takes nothing, for so long is cut off.
constexpr auto kPatience = std::chrono::seconds(30);

// Reads a request, answers it, reads the next.
class Connection : public Guest, public std::enable_shared_from_this<Connection> {
 public:
  Connection(WebStream stream, const std::string& address, const WebService& service)
      : Guest(address),
        stream_(std::move(stream)),
        patience_(stream_.get_executor()),
        service_(service) {
    service_.guests->Add(*this);
  }
  ~Connection() override { service_.guests->Remove(*this); }

  void Start() {
    Expect();
    Read();
  }
  void Cut() override { Close(); }

 private:
  void Read() {
    stream_.async_read_some(asio::buffer(part_),
                            [self = shared_from_this()](ErrorCode error, std::size_t size) {
                              if (error) return self->Close();
                              self->Go(self->reader_.Put({self->part_.data(), size}));
                            });
  }

  // A whole request must come, or a whole answer be taken, before patience ends.
  void Expect() {
    patience_.expires_after(kPatience);
    patience_.async_wait([weak = weak_from_this()](ErrorCode aborted) {
      const auto self = weak.lock();
      // Another expectation may have begun while this one was on its way.
      if (!aborted && self && self->patience_.expiry() <= Clock::now()) self->Close();
    });
  }

  void Go(RequestReader::State state) {
    if (state == RequestReader::State::kMore) return Read();
    Moved();
    ++service_.load->unanswered;
    if (state == RequestReader::State::kDone) return Answer();
    keep_alive_ = false;
    Write(reader_.refusal());
  }

  void Answer() {
    patience_.expires_at(Timer::time_point::max());  // it may take as long as completing a session
    keep_alive_ = reader_.keep_alive();
    const Request request = reader_.request();
    head_ = request.method == "HEAD";
    if (reader_.is_upgrade()) return Upgrade(request);
    service_.site->Handle(request, [lent = Lend()](Response answer) {
      // Perhaps on another thread: back to this one.
      asio::post(
          lent->stream_.get_executor(),
          [self = lent->shared_from_this(), answer = std::move(answer)] { self->Write(answer); });
    });
  }

  // For whoever answers. Let go on any thread, it is given back on this one: the connection may end
  // with it, and the list of guests that it leaves belongs to this thread.
  std::shared_ptr<Connection> Lend() {
    return {this, [self = shared_from_this(),
                   executor = stream_.get_executor()](const Connection* /*same*/) mutable {
              asio::post(executor, [given = std::move(self)] {});
            }};
  }

  void Upgrade(const Request& request) {
    if (auto refusal = service_.site->RefuseLive(request)) return Write(*refusal);
    --service_.load->unanswered;
    service_.guests->Remove(*this);
    ServeLive(std::move(stream_), address(), reader_.message(), service_);
  }

  void Write(const Response& answer) {
    bytes_ = ResponseBytes(answer, head_, keep_alive_);
    Moved();
    Expect();
    asio::async_write(stream_, asio::buffer(bytes_),
                      [self = shared_from_this()](ErrorCode error, std::size_t) {
                        --self->service_.load->unanswered;
                        if (error || !self->keep_alive_) return self->Close();
                        self->Moved();
                        self->Expect();
                        self->Go(self->reader_.Next());
                      });
  }

  void Close() {
    ErrorCode ignored;
    stream_.shutdown(WebStream::shutdown_both, ignored);
  }

  WebStream stream_;
  Timer patience_;
  const WebService service_;
  RequestReader reader_;
  std::array<char, 4096> part_;
  std::string bytes_;  // of the answer under way
  bool keep_alive_ = false;
  bool head_ = false;
};

}  // namespace

void ServeConnection(WebStream stream, const std::string& address, const WebService& service) {
  std::make_shared<Connection>(std::move(stream), address, service)->Start();
}

}  // namespace proofdrive::web
