// What a browser does with a page over TCP: requests with the token, and the WebSocket.
#pragma once

#include <gtest/gtest.h>

#include <boost/asio/ip/tcp.hpp>
#include <boost/beast/core/buffers_to_string.hpp>
#include <boost/beast/core/flat_buffer.hpp>
#include <boost/beast/http.hpp>
#include <boost/beast/websocket.hpp>
#include <functional>
#include <memory>
#include <string>

#include "web/access/listen_address.h"

namespace proofdrive::testing {

class BrowserClient {
 public:
  using Tcp = boost::asio::ip::tcp;
  using Request = boost::beast::http::request<boost::beast::http::string_body>;
  using Response = boost::beast::http::response<boost::beast::http::string_body>;
  using Socket = boost::beast::websocket::stream<Tcp::socket>;
  using Field = boost::beast::http::field;
  using Error = boost::beast::error_code;

  BrowserClient(const web::ListenAddress& page, std::string token)
      : page_(page), token_(std::move(token)) {}

  Tcp::socket Connect() {
    Tcp::socket socket(context_);
    socket.connect({boost::asio::ip::make_address("127.0.0.1"), page_.port});
    return socket;
  }

  Request Make(const std::string& method, const std::string& target, const std::string& body = "") {
    Request request;
    request.version(11);
    request.method_string(method);
    request.target(target);
    request.set(Field::host, page_.Text());
    request.set(Field::authorization, "Bearer " + token_);
    if (method == "POST") request.set(Field::content_type, "application/json");
    request.body() = body;
    request.prepare_payload();
    return request;
  }

  Response Send(const Request& request) {
    Tcp::socket socket = Connect();
    boost::beast::http::write(socket, request);
    boost::beast::flat_buffer buffer;
    boost::beast::http::response_parser<boost::beast::http::string_body> parser;
    if (request.method() == boost::beast::http::verb::head) parser.skip(true);
    boost::beast::http::read(socket, buffer, parser);
    return parser.release();
  }
  Response Get(const std::string& target) { return Send(Make("GET", target)); }

  // `decorate` adds fields to the request, which has none for the token.
  std::unique_ptr<Socket> Listen(const std::function<void(Request&)>& decorate, Error& error) {
    auto socket = std::make_unique<Socket>(Connect());
    socket->set_option(boost::beast::websocket::stream_base::decorator(
        [&](boost::beast::websocket::request_type& request) {
          Request fields;
          decorate(fields);
          for (const auto& field : fields) request.set(field.name_string(), field.value());
        }));
    socket->handshake(page_.Text(), "/api/live", error);
    return socket;
  }
  // Connected and welcomed.
  std::unique_ptr<Socket> Listen() {
    Error error;
    auto socket = Listen([this](Request& fields) { AddToken(fields); }, error);
    EXPECT_FALSE(error) << error.message();
    return socket;
  }
  void AddToken(Request& fields) const { fields.set(Field::authorization, "Bearer " + token_); }

  // The next message.
  static std::string Hear(Socket& socket) {
    boost::beast::flat_buffer buffer;
    socket.read(buffer);
    return boost::beast::buffers_to_string(buffer.data());
  }

 private:
  boost::asio::io_context context_;
  const web::ListenAddress page_;
  const std::string token_;
};

}  // namespace proofdrive::testing
