// Any bytes as an HTTP request to the live page and the control interface. Whatever comes: exactly
// one answer, which is JSON unless it is a file of the page, and nothing about the car without the
// token. Nothing is written: the daemon is shutting down.
#include <boost/asio/buffer.hpp>
#include <boost/beast/http.hpp>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <nlohmann/json.hpp>

#include "daemon/control/connection.h"
#include "daemon/control/server.h"
#include "daemon/control/site.h"
#include "daemon/page/assets.h"
#include "decoders/language/loader.h"
#include "tests/support/memory_files.h"

namespace {

using namespace proofdrive;
using namespace proofdrive::daemon;

constexpr char kDefinitions[] = R"(
vehicle: Test cart (invented)
buses: {pack: {bitrate: 500000}}
frames:
  loop:
    bus: pack
    id: 0x100
    length: 8
    signals: {voltage: {where: byte 0}}
    series: {cell: {first: byte 1, each: 1 byte, count: 3}}
)";

struct SilentLog : Log {
  void Write(LogLevel /*level*/, std::string_view /*text*/) override {}
};

void Check(bool so) {
  if (!so) std::abort();
}

// A daemon without threads.
struct Inside {
  Inside() {
    queue.Close();
    auto snapshot = std::make_shared<Snapshot>();
    const std::vector<decoders::SourceText> texts = {{"cart.yaml", kDefinitions}};
    snapshot->definitions = decoders::LoadDefinitions(texts).definitions;
    Check(snapshot->definitions != nullptr);
    box.Set(snapshot);
    api.feed()->Tick();
  }
  testing::MemoryFiles files;
  SystemClock clock;
  SilentLog log;
  Counters counters;
  FrameQueue queue;
  SnapshotBox box;
  Pipeline pipeline{queue, files, clock, log, counters, box, PipelineSetup()};
  ControlApi api{queue, pipeline, box};
  Site guarded{api, {true, "0123456789abcdefghij", {"bench.local"}}};
  Site local{api, {false, "", {}}};
};

void Ask(const Site& site, const WebRequest& request, bool has_token) {
  int answers = 0;
  site.Handle(request, [&](WebResponse response) {
    ++answers;
    Check(response.status >= 200 && response.status < 600);
    if (FindAsset(request.target) != nullptr) return;
    Check(nlohmann::json::accept(response.body));
    const bool sign_out = request.target == "/api/sign-out";
    if (!has_token && response.status == 200) Check(sign_out);
  });
  Check(answers == 1);
  const auto refusal = site.RefuseLive(request);
  if (!has_token) Check(refusal.has_value());
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  static const Inside inside;
  namespace http = boost::beast::http;
  http::request_parser<http::string_body> parser;
  parser.header_limit(ControlServer::kHeaderLimit);
  parser.body_limit(ControlServer::kBodyLimit);
  parser.eager(true);
  boost::system::error_code error;
  boost::asio::const_buffer rest(data, size);
  while (rest.size() > 0 && !error && !parser.is_done()) {
    const std::size_t used = parser.put(rest, error);
    if (used == 0) break;
    rest += used;
  }
  if (error || !parser.is_done()) return 0;
  const WebRequest request = ToWebRequest(parser.get());
  const bool told = request.authorization.find("0123456789abcdefghij") != std::string::npos ||
                    request.cookie.find("0123456789abcdefghij") != std::string::npos ||
                    request.body.find("0123456789abcdefghij") != std::string::npos;
  Ask(inside.guarded, request, told);
  Ask(inside.local, request, true);
  return 0;
}
