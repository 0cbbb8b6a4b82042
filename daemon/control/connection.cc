#include "daemon/control/connection.h"

#include <boost/asio/post.hpp>
#include <boost/beast/core/flat_buffer.hpp>
#include <boost/beast/websocket/rfc6455.hpp>
#include <nlohmann/json.hpp>
#include <optional>
#include <utility>

#include "daemon/control/live_socket.h"
#include "daemon/control/server.h"

namespace proofdrive::daemon {
namespace {

namespace asio = boost::asio;
namespace beast = boost::beast;
namespace http = beast::http;
using Socket = asio::generic::stream_protocol::socket;
using ErrorCode = boost::system::error_code;

// A client that says nothing for so long is cut off.
constexpr auto kPatience = std::chrono::seconds(30);

WebResponse Nonsense(unsigned status, const std::string& sentence) {
  WebResponse response;
  response.status = status;
  response.body = nlohmann::json{{"error", sentence}}.dump();
  return response;
}

// Reads a request, answers it, reads the next.
class Connection : public std::enable_shared_from_this<Connection> {
 public:
  Connection(Socket socket, const WebService& service)
      : stream_(std::move(socket)), service_(service) {
    ++service_.load->connections;
  }
  ~Connection() { --service_.load->connections; }

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
    ++service_.load->unanswered;
    stream_.expires_never();  // the answer may take as long as completing a session
    const auto& request = parser_->get();
    keep_alive_ = request.keep_alive();
    head_ = request.method() == http::verb::head;
    if (beast::websocket::is_upgrade(request)) return Upgrade();
    service_.site->Handle(ToWebRequest(request), [self = shared_from_this()](WebResponse answer) {
      // Perhaps on the writing thread: back to this one.
      asio::post(self->stream_.get_executor(),
                 [self, answer = std::move(answer)]() mutable { self->Write(std::move(answer)); });
    });
  }

  void Upgrade() {
    if (auto refusal = service_.site->RefuseLive(ToWebRequest(parser_->get()))) {
      return Write(std::move(*refusal));
    }
    --service_.load->unanswered;
    ServeLive(std::move(stream_), parser_->get(), service_);
  }

  void Refuse(unsigned status, const std::string& sentence) {
    ++service_.load->unanswered;
    keep_alive_ = false;
    Write(Nonsense(status, sentence));
  }

  void Write(WebResponse answer) {
    response_ = {};
    response_.version(11);
    response_.result(answer.status);
    for (const auto& [name, value] : ProtectingFields()) response_.set(name, value);
    response_.set(http::field::cache_control, answer.tag.empty() ? "no-store" : "no-cache");
    if (!answer.tag.empty()) response_.set(http::field::etag, answer.tag);
    if (!answer.set_cookie.empty()) response_.set(http::field::set_cookie, answer.set_cookie);
    if (answer.status != 304) response_.set(http::field::content_type, answer.type);
    response_.body() = std::move(answer.body);
    response_.keep_alive(keep_alive_);
    if (answer.status != 304 && !head_) response_.prepare_payload();
    stream_.expires_after(kPatience);
    http::async_write(stream_, response_,
                      [self = shared_from_this()](ErrorCode error, std::size_t) {
                        --self->service_.load->unanswered;
                        if (error || !self->keep_alive_) return self->Close();
                        self->Read();
                      });
  }

  void Close() {
    ErrorCode ignored;
    stream_.socket().shutdown(Socket::shutdown_both, ignored);
  }

  WebStream stream_;
  const WebService service_;
  beast::flat_buffer buffer_;
  std::optional<http::request_parser<http::string_body>> parser_;
  http::response<http::string_body> response_;
  bool keep_alive_ = false;
  bool head_ = false;
};

}  // namespace

WebRequest ToWebRequest(const WebSocketRequest& request) {
  WebRequest plain;
  plain.method = request.method_string();
  plain.target = request.target();
  plain.host = request[http::field::host];
  plain.origin = request[http::field::origin];
  plain.fetch_site = request["Sec-Fetch-Site"];
  plain.content_type = request[http::field::content_type];
  plain.cookie = request[http::field::cookie];
  plain.authorization = request[http::field::authorization];
  plain.known_tag = request[http::field::if_none_match];
  plain.body = request.body();
  return plain;
}

void ServeConnection(Socket socket, const WebService& service) {
  std::make_shared<Connection>(std::move(socket), service)->Read();
}

}  // namespace proofdrive::daemon
