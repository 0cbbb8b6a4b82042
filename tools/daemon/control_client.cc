#include "tools/daemon/control_client.h"

#include <boost/asio/io_context.hpp>
#include <boost/asio/local/stream_protocol.hpp>
#include <boost/beast/core/basic_stream.hpp>
#include <boost/beast/core/flat_buffer.hpp>
#include <boost/beast/http.hpp>
#include <functional>
#include <nlohmann/json.hpp>

#include "core/base/control_socket.h"
#include "core/base/text.h"

namespace proofdrive::tools {
namespace {

namespace asio = boost::asio;
namespace beast = boost::beast;
namespace http = beast::http;
using Local = asio::local::stream_protocol;
using ErrorCode = boost::system::error_code;

constexpr auto kPatience = std::chrono::seconds(60);  // completing a long session takes its time
constexpr std::uint64_t kLargestAnswer = 16 << 20;

Status NobodyAnswers(const std::string& path, const ErrorCode& error) {
  if (error == asio::error::access_denied) {
    return Status(ErrorKind::kPermission,
                  path + ": only the user who runs proofdrived may use its control socket");
  }
  return Status(ErrorKind::kUnavailable,
                "no daemon answers on " + path +
                    ": start one with, for example, proofdrived "
                    "--source socketcan:can0, or name its socket with --socket");
}

// The three steps of one exchange; each sets `error` and stops when it fails.
class Exchange {
 public:
  explicit Exchange(const std::string& path) : path_(path), stream_(context_) {
    parser_.body_limit(kLargestAnswer);
  }

  Status Run(const std::string& method, const std::string& target, const std::string& body) {
    ErrorCode error;
    stream_.socket().connect(Local::endpoint(path_), error);
    if (error) return NobodyAnswers(path_, error);
    request_.version(11);
    request_.method_string(method);
    request_.target(target);
    request_.set(http::field::host, "localhost");
    request_.set(http::field::content_type, "application/json");
    request_.body() = body;
    request_.keep_alive(false);
    request_.prepare_payload();
    stream_.expires_after(kPatience);
    http::async_write(stream_, request_, [this](ErrorCode written, std::size_t) {
      error_ = written;
      if (!error_) Read();
    });
    context_.run();
    if (!error_) return Status::Ok();
    return Status(ErrorKind::kUnavailable,
                  "the daemon on " + path_ + " did not answer: " + error_.message());
  }

  unsigned status() const { return parser_.get().result_int(); }
  const std::string& body() const { return parser_.get().body(); }

 private:
  void Read() {
    http::async_read(stream_, buffer_, parser_,
                     [this](ErrorCode read, std::size_t) { error_ = read; });
  }

  const std::string path_;
  asio::io_context context_{1};
  beast::basic_stream<Local> stream_;
  beast::flat_buffer buffer_;
  http::request<http::string_body> request_;
  http::response_parser<http::string_body> parser_;
  ErrorCode error_;
};

std::string ErrorOf(const std::string& body) {
  const auto object = nlohmann::json::parse(body, nullptr, false);
  if (object.is_object() && object.contains("error") && object["error"].is_string()) {
    std::vector<std::string> lines = Split(object["error"].get<std::string>(), '\n');
    for (std::string& line : lines) line = Printable(line);
    return Join(lines, "\n");
  }
  return "the daemon refused without saying why";
}

}  // namespace

void AddSocketOption(OptionList& options, std::string& socket) {
  options
      .Add("--socket", &socket,
           "control socket of the daemon (default: $XDG_RUNTIME_DIR/proofdrive.sock)")
      .Called("PATH");
}

Result<std::string> AskDaemon(const std::string& socket, const std::string& method,
                              const std::string& target, const std::string& body) {
  const std::string path = socket.empty() ? DefaultControlSocket() : socket;
  RETURN_IF_ERROR(CheckControlSocketPath(path));
  Exchange exchange(path);
  RETURN_IF_ERROR(exchange.Run(method, target, body));
  if (exchange.status() != 200) {
    return Status(ErrorKind::kInvalidArgument, ErrorOf(exchange.body()));
  }
  return exchange.body();
}

}  // namespace proofdrive::tools
