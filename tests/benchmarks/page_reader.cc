#include "tests/benchmarks/page_reader.h"

#include <boost/asio/io_context.hpp>
#include <boost/asio/local/stream_protocol.hpp>
#include <boost/beast/core/flat_buffer.hpp>
#include <boost/beast/websocket.hpp>
#include <chrono>
#include <thread>

namespace proofdrive::benchmarks {
namespace {

namespace asio = boost::asio;
namespace beast = boost::beast;
using Page = beast::websocket::stream<asio::local::stream_protocol::socket>;

bool Connect(Page& page, const std::string& path) {
  boost::system::error_code error;
  for (int tries = 0; tries < 500; ++tries) {
    page.next_layer().connect(path, error);
    if (!error) break;
    page.next_layer().close();
    std::this_thread::sleep_for(std::chrono::milliseconds(10));
  }
  if (!error) page.handshake("localhost", "/api/live", error);
  return !error;
}

}  // namespace

std::uint64_t ReadPage(const std::string& path) {
  asio::io_context context;
  Page page(context);
  if (!Connect(page, path)) return 0;
  for (std::uint64_t messages = 0;; ++messages) {
    beast::flat_buffer buffer;
    boost::system::error_code error;
    page.read(buffer, error);
    if (error) return messages;
  }
}

}  // namespace proofdrive::benchmarks
