// Any bytes as an HTTP request to the live page and the control interface. Whatever comes: exactly
// one answer, which is JSON unless it is a file of the page, and nothing about the car without the
// token. Nothing is written: the daemon is shutting down.
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <nlohmann/json.hpp>

#include "daemon/control/api.h"
#include "daemon/page/embedded_file.h"
#include "decoders/language/loader.h"
#include "tests/support/memory_files.h"
#include "web/server/request_reader.h"
#include "web/server/site.h"

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
  web::Assets assets{EmbeddedFiles()};
  web::Site guarded{api.Routes(), assets, {true, "0123456789abcdefghij", {"bench.local"}}};
  web::Site local{api.Routes(), assets, {false, "", {}}};
};

void Ask(const web::Site& site, const web::Assets& assets, const web::Request& request,
         bool has_token) {
  int answers = 0;
  site.Handle(request, [&](const web::Response& response) {
    ++answers;
    Check(response.status >= 200 && response.status < 600);
    if (assets.Find(request.target) != nullptr) return;
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
  web::RequestReader reader;
  auto state = reader.Put({reinterpret_cast<const char*>(data), size});
  if (state == web::RequestReader::State::kBad) Check(reader.refusal().status >= 400);
  if (state != web::RequestReader::State::kDone) return 0;
  const web::Request request = reader.request();
  const bool told = request.authorization.find("0123456789abcdefghij") != std::string::npos ||
                    request.cookie.find("0123456789abcdefghij") != std::string::npos ||
                    request.body.find("0123456789abcdefghij") != std::string::npos;
  Ask(inside.guarded, inside.assets, request, told);
  Ask(inside.local, inside.assets, request, true);
  return 0;
}
