#include "tools/daemon/control_client.h"

#include <sys/socket.h>
#include <sys/time.h>
#include <sys/un.h>
#include <unistd.h>

#include <boost/beast/http/parser.hpp>
#include <boost/beast/http/string_body.hpp>
#include <cerrno>
#include <cstring>
#include <nlohmann/json.hpp>

#include "core/base/control_socket.h"
#include "core/base/text.h"

namespace proofdrive::tools {
namespace {

namespace http = boost::beast::http;
using ErrorCode = boost::system::error_code;

constexpr int kPatienceSeconds = 60;  // completing a long session takes its time
constexpr std::uint64_t kLargestAnswer = 16 << 20;

Status NobodyAnswers(const std::string& path, int error) {
  if (error == EACCES || error == EPERM) {
    return Status(ErrorKind::kPermission,
                  path + ": only the user who runs proofdrived may use its control socket");
  }
  return Status(ErrorKind::kUnavailable,
                "no daemon answers on " + path +
                    ": start one with, for example, proofdrived "
                    "--source socketcan:can0, or name its socket with --socket");
}

// A descriptor that is closed at the end.
class Socket {
 public:
  Socket() : descriptor_(::socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0)) {}
  Socket(const Socket&) = delete;
  Socket& operator=(const Socket&) = delete;
  ~Socket() {
    if (descriptor_ >= 0) ::close(descriptor_);
  }

  // 0, or errno.
  int Connect(const std::string& path) {
    sockaddr_un address{};
    address.sun_family = AF_UNIX;
    path.copy(address.sun_path, sizeof(address.sun_path) - 1);  // CheckControlSocketPath: it fits
    const timeval patience{kPatienceSeconds, 0};
    ::setsockopt(descriptor_, SOL_SOCKET, SO_RCVTIMEO, &patience, sizeof(patience));
    ::setsockopt(descriptor_, SOL_SOCKET, SO_SNDTIMEO, &patience, sizeof(patience));
    const auto* plain = reinterpret_cast<const sockaddr*>(&address);
    return ::connect(descriptor_, plain, sizeof(address)) == 0 ? 0 : errno;
  }

  int Send(std::string_view text) {
    while (!text.empty()) {
      const ssize_t sent = ::send(descriptor_, text.data(), text.size(), MSG_NOSIGNAL);
      if (sent < 0 && errno == EINTR) continue;
      if (sent < 0) return errno;
      text.remove_prefix(static_cast<std::size_t>(sent));
    }
    return 0;
  }

  // Appends what came to `text`; -1 for the end of the stream.
  int Receive(std::string& text) {
    char bytes[16384];
    const ssize_t got = ::recv(descriptor_, bytes, sizeof(bytes), 0);
    if (got < 0) return errno == EINTR ? 0 : errno;
    if (got == 0) return -1;
    text.append(bytes, static_cast<std::size_t>(got));
    return 0;
  }

 private:
  const int descriptor_;
};

std::string RequestText(const std::string& method, const std::string& target,
                        const std::string& body) {
  return method + " " + target +
         " HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\n"
         "Connection: close\r\nContent-Length: " +
         std::to_string(body.size()) + "\r\n\r\n" + body;
}

// One exchange. Only the parser of the HTTP library is used here: its streams, compiled once more,
// would take ten times as long as the rest of this file.
class Exchange {
 public:
  explicit Exchange(const std::string& path) : path_(path) {
    parser_.body_limit(kLargestAnswer);
    parser_.eager(true);
  }

  Status Run(const std::string& method, const std::string& target, const std::string& body) {
    if (const int error = socket_.Connect(path_)) return NobodyAnswers(path_, error);
    if (const int error = socket_.Send(RequestText(method, target, body))) {
      return NoAnswer(std::strerror(error));
    }
    return Read();
  }

  unsigned status() const { return parser_.get().result_int(); }
  const std::string& body() const { return parser_.get().body(); }

 private:
  Status NoAnswer(const std::string& why) const {
    return Status(ErrorKind::kUnavailable, "the daemon on " + path_ + " did not answer: " + why);
  }

  Status Read() {
    std::string waiting;
    ErrorCode error;
    while (!parser_.is_done()) {
      if (const int failed = socket_.Receive(waiting); failed > 0) {
        return NoAnswer(failed == EAGAIN ? "it took too long" : std::strerror(failed));
      } else if (failed < 0) {
        if (!parser_.got_some()) return NoAnswer("it closed the connection");
        parser_.put_eof(error);
        if (error) return NoAnswer(error.message());
        break;
      }
      const std::size_t used =
          parser_.put(boost::asio::const_buffer(waiting.data(), waiting.size()), error);
      if (error == http::error::need_more) error = {};
      if (error) return NoAnswer(error.message());
      waiting.erase(0, used);
    }
    return Status::Ok();
  }

  const std::string path_;
  Socket socket_;
  http::response_parser<http::string_body> parser_;
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
