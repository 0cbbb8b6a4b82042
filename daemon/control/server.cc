#include "daemon/control/server.h"

#include <sys/stat.h>
#include <unistd.h>

#include <atomic>
#include <boost/asio/io_context.hpp>
#include <boost/asio/local/stream_protocol.hpp>
#include <boost/asio/post.hpp>
#include <boost/asio/steady_timer.hpp>
#include <boost/beast/core/basic_stream.hpp>
#include <boost/beast/core/flat_buffer.hpp>
#include <boost/beast/http.hpp>
#include <optional>
#include <thread>
#include <utility>

namespace proofdrive::daemon {
namespace {

namespace asio = boost::asio;
namespace beast = boost::beast;
namespace http = beast::http;
using Local = asio::local::stream_protocol;
using Stream = beast::basic_stream<Local>;
using ErrorCode = boost::system::error_code;

// A client that says nothing for so long is cut off.
constexpr auto kPatience = std::chrono::seconds(30);

// How much there is to do; shared by the connections and the server.
struct Load {
  std::atomic<std::size_t> connections{0};
  std::atomic<std::size_t> unanswered{0};  // requests read whose answer has not been written
};

// One connection: reads a request, answers it, reads the next. Lives as long as an operation of it
// is pending.
class Connection : public std::enable_shared_from_this<Connection> {
 public:
  Connection(Local::socket socket, const ControlApi& api, std::shared_ptr<Load> load)
      : stream_(std::move(socket)), api_(api), load_(std::move(load)) {
    ++load_->connections;
  }
  ~Connection() { --load_->connections; }

  void Read() {
    parser_.emplace();
    parser_->header_limit(ControlServer::kHeaderLimit);
    parser_->body_limit(ControlServer::kBodyLimit);
    stream_.expires_after(kPatience);
    http::async_read(
        stream_, buffer_, *parser_,
        [self = shared_from_this()](ErrorCode error, std::size_t) { self->OnRead(error); });
  }

 private:
  void OnRead(ErrorCode error) {
    if (error == http::error::body_limit) return Refuse(413, "the body is too large");
    if (error == http::error::header_limit) return Refuse(431, "the head is too large");
    if (error && error.category() == http::make_error_code(http::error::bad_method).category() &&
        error != http::error::end_of_stream && error != http::error::partial_message) {
      return Refuse(400, "this is not HTTP/1.1");
    }
    if (error) return Close();
    ++load_->unanswered;
    stream_.expires_never();  // the answer may take as long as completing a session
    const auto& request = parser_->get();
    keep_alive_ = request.keep_alive();
    api_.Handle(
        {std::string(request.method_string()), std::string(request.target()), request.body()},
        [self = shared_from_this()](ApiResponse answer) {
          // Perhaps on the writing thread: back to this one.
          asio::post(self->stream_.get_executor(),
                     [self, answer = std::move(answer)] { self->Write(answer); });
        });
  }

  void Refuse(unsigned status, const std::string& sentence) {
    ++load_->unanswered;
    keep_alive_ = false;
    Write({status, "{\"error\":\"" + sentence + "\"}"});
  }

  void Write(const ApiResponse& answer) {
    response_ = {};
    response_.version(11);
    response_.result(answer.status);
    response_.set(http::field::content_type, "application/json");
    response_.body() = answer.body + "\n";
    response_.keep_alive(keep_alive_);
    response_.prepare_payload();
    stream_.expires_after(kPatience);
    http::async_write(stream_, response_,
                      [self = shared_from_this()](ErrorCode error, std::size_t) {
                        --self->load_->unanswered;
                        if (error || !self->keep_alive_) return self->Close();
                        self->Read();
                      });
  }

  void Close() {
    ErrorCode ignored;
    stream_.socket().shutdown(Local::socket::shutdown_both, ignored);
  }

  Stream stream_;
  const ControlApi& api_;
  const std::shared_ptr<Load> load_;
  beast::flat_buffer buffer_;
  std::optional<http::request_parser<http::string_body>> parser_;
  http::response<http::string_body> response_;
  bool keep_alive_ = false;
};

class BeastServer : public ControlServer {
 public:
  BeastServer(std::string path, ControlApi api, Log& log)
      : path_(std::move(path)), api_(api), log_(log), acceptor_(context_), retry_(context_) {}
  ~BeastServer() override { Stop(); }

  Status Bind() {
    RETURN_IF_ERROR(ClearPath());
    ErrorCode error;
    acceptor_.open(Local(), error);
    if (!error) acceptor_.bind(Local::endpoint(path_), error);
    if (error) return Status::FromErrno(error.value(), "control socket " + path_);
    bound_ = true;
    // Before listening nobody can connect, so the mode is right from the first connection on.
    if (::chmod(path_.c_str(), S_IRUSR | S_IWUSR) != 0) {
      return Status::FromErrno(errno, "control socket " + path_);
    }
    acceptor_.listen(asio::socket_base::max_listen_connections, error);
    if (error) return Status::FromErrno(error.value(), "control socket " + path_);
    return Status::Ok();
  }

  void Start() override {
    Accept();
    thread_ = std::thread([this] { context_.run(); });
  }

  void Stop() override {
    if (thread_.joinable()) {
      // Whoever asked for the end hears about it; a client that does not listen is not waited for.
      const auto limit = std::chrono::steady_clock::now() + std::chrono::seconds(1);
      while (load_->unanswered > 0 && std::chrono::steady_clock::now() < limit) {
        std::this_thread::sleep_for(std::chrono::milliseconds(5));
      }
      context_.stop();
      thread_.join();
    }
    ErrorCode ignored;
    acceptor_.close(ignored);
    if (std::exchange(bound_, false)) ::unlink(path_.c_str());
  }

 private:
  // Makes room for our socket unless somebody uses the name.
  Status ClearPath() {
    struct stat info {};
    if (::lstat(path_.c_str(), &info) != 0) return Status::Ok();
    if (!S_ISSOCK(info.st_mode)) {
      return Status(ErrorKind::kAlreadyExists,
                    path_ + " is not a socket and is left alone: give --socket another path");
    }
    ErrorCode error;
    Local::socket probe(context_);
    probe.connect(Local::endpoint(path_), error);
    if (!error) {
      return Status(ErrorKind::kBusy, "a daemon answers on " + path_ +
                                          " already: stop it, or give --socket another path");
    }
    if (error != asio::error::connection_refused) {
      return Status::FromErrno(error.value(), "control socket " + path_);
    }
    log_.Debug("Replacing the socket " + path_ + " that a daemon left behind");
    if (::unlink(path_.c_str()) != 0) return Status::FromErrno(errno, "remove " + path_);
    return Status::Ok();
  }

  void Accept() {
    acceptor_.async_accept([this](ErrorCode error, Local::socket socket) {
      if (error) return AcceptLater(error);
      if (load_->connections < kConnectionLimit) {
        std::make_shared<Connection>(std::move(socket), api_, load_)->Read();
      }
      Accept();
    });
  }

  // Out of descriptors, for example: it would fail again at once.
  void AcceptLater(ErrorCode error) {
    log_.Warning("control socket: " + error.message());
    retry_.expires_after(std::chrono::seconds(1));
    retry_.async_wait([this](ErrorCode aborted) {
      if (!aborted) Accept();
    });
  }

  const std::string path_;
  const ControlApi api_;
  Log& log_;
  const std::shared_ptr<Load> load_ = std::make_shared<Load>();
  asio::io_context context_{1};
  Local::acceptor acceptor_;
  asio::steady_timer retry_;
  bool bound_ = false;
  std::thread thread_;
};

}  // namespace

Result<std::unique_ptr<ControlServer>> ControlServer::Create(const std::string& path,
                                                             ControlApi api, Log& log) {
  auto server = std::make_unique<BeastServer>(path, api, log);
  RETURN_IF_ERROR(server->Bind());
  return std::unique_ptr<ControlServer>(std::move(server));
}

}  // namespace proofdrive::daemon
