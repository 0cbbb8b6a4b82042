#include "web/server/request_reader.h"

#include <boost/asio/buffer.hpp>
#include <boost/beast/http/parser.hpp>
#include <boost/beast/http/string_body.hpp>
#include <boost/beast/websocket/rfc6455.hpp>

#include "web/server/site.h"

namespace proofdrive::web {

namespace http = boost::beast::http;

struct RequestReader::Parser {
  Parser() {
    request.header_limit(kHeadLimit);
    request.body_limit(kBodyLimit);
    request.eager(true);
  }
  http::request_parser<http::string_body> request;
};

RequestReader::RequestReader() : parser_(std::make_unique<Parser>()) {}
RequestReader::~RequestReader() = default;

void RequestReader::Refuse(unsigned status, const std::string& sentence) {
  refusal_ = Refusal(status, sentence);
}

RequestReader::State RequestReader::Parse() {
  boost::system::error_code error;
  while (!waiting_.empty() && !parser_->request.is_done() && !error) {
    const std::size_t used = parser_->request.put(boost::asio::buffer(waiting_), error);
    waiting_.erase(0, used);
    if (used == 0) break;
  }
  if (error == http::error::need_more) error = {};
  if (!error) return parser_->request.is_done() ? State::kDone : State::kMore;
  if (error == http::error::body_limit) {
    Refuse(413, "the body is too large");
  } else if (error == http::error::header_limit) {
    Refuse(431, "the head is too large");
  } else {
    Refuse(400, "this is not HTTP/1.1");
  }
  return State::kBad;
}

RequestReader::State RequestReader::Put(std::string_view bytes) {
  waiting_ += bytes;
  return Parse();
}

RequestReader::State RequestReader::Next() {
  parser_ = std::make_unique<Parser>();
  return Parse();
}

const HttpRequest& RequestReader::message() const { return parser_->request.get(); }
bool RequestReader::keep_alive() const { return message().keep_alive(); }
bool RequestReader::is_upgrade() const { return boost::beast::websocket::is_upgrade(message()); }

Request RequestReader::request() const {
  const HttpRequest& message = parser_->request.get();
  Request plain;
  plain.method = message.method_string();
  plain.target = message.target();
  plain.host = message[http::field::host];
  plain.origin = message[http::field::origin];
  plain.fetch_site = message["Sec-Fetch-Site"];
  plain.content_type = message[http::field::content_type];
  plain.cookie = message[http::field::cookie];
  plain.authorization = message[http::field::authorization];
  plain.known_tag = message[http::field::if_none_match];
  plain.body = message.body();
  return plain;
}

std::string ResponseBytes(const Response& response, bool head_only, bool keep_alive) {
  const std::string reason(http::obsolete_reason(http::int_to_status(response.status)));
  std::string bytes = "HTTP/1.1 " + std::to_string(response.status) + " " + reason + "\r\n";
  const auto add = [&bytes](std::string_view name, std::string_view value) {
    bytes.append(name).append(": ").append(value).append("\r\n");
  };
  for (const auto& [name, value] : ProtectingFields()) add(name, value);
  add("Cache-Control", response.tag.empty() ? "no-store" : "no-cache");
  if (!response.tag.empty()) add("ETag", response.tag);
  if (!response.set_cookie.empty()) add("Set-Cookie", response.set_cookie);
  if (!keep_alive) add("Connection", "close");
  const bool has_body = response.status != 304;
  if (has_body) add("Content-Type", response.type);
  if (has_body && !head_only) add("Content-Length", std::to_string(response.body.size()));
  bytes += "\r\n";
  if (has_body && !head_only) bytes += response.body;
  return bytes;
}

}  // namespace proofdrive::web
