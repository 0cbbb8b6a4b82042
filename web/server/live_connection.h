// The inside of live_socket, in pieces: what Beast makes of each operation costs the compiler so
// much that each has a file of its own.
#pragma once

#include <boost/beast/core/flat_buffer.hpp>
#include <boost/beast/websocket/stream.hpp>
#include <memory>
#include <string>

#include "web/server/request_reader.h"
#include "web/server/service.h"

namespace proofdrive::web {

// Lives as long as an operation of it is pending: a read always is.
class LiveConnection : public LiveListener,
                       public Guest,
                       public std::enable_shared_from_this<LiveConnection> {
 public:
  LiveConnection(WebStream stream, const std::string& address, const WebService& service);
  ~LiveConnection() override;

  void Accept(const HttpRequest& request);
  void Offer(const SharedText& introduction, const SharedText& news) override;
  void Cut() override { Close(); }

 private:
  using ErrorCode = boost::system::error_code;

  void Read();
  void Write(SharedText text);
  void Close();

  boost::beast::websocket::stream<WebStream, false> stream_;  // false: nothing is compressed
  const WebService service_;
  boost::beast::flat_buffer buffer_;
  SharedText told_;  // the introduction the page has; also keeps it alive to be compared with
  bool busy_ = false;
  bool closed_ = false;
  bool listening_ = false;
};

}  // namespace proofdrive::web
