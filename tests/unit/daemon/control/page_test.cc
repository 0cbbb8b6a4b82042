// The live page over TCP: its files, its requests, what it is told.
#include <gmock/gmock.h>

#include <unistd.h>

#include <fstream>
#include <nlohmann/json.hpp>
#include <thread>

#include "core/base/posix_files.h"
#include "daemon/control/api.h"
#include "daemon/page/embedded_file.h"
#include "tests/support/browser_client.h"
#include "tests/support/keeping_log.h"
#include "tests/support/matchers.h"
#include "tests/support/temp_dir.h"
#include "tests/unit/daemon/json/live_snapshot.h"
#include "web/server/server.h"

namespace proofdrive::daemon {
namespace {

using nlohmann::json;
using ::testing::HasSubstr;
using testing::IsOk;
using Response = testing::BrowserClient::Response;
using Socket = testing::BrowserClient::Socket;
namespace http = boost::beast::http;

constexpr char kToken[] = "0123456789abcdefgh";

class PageTest : public ::testing::Test {
 protected:
  ~PageTest() override {
    if (server_) server_->Stop();
    queue_.Close();
    if (writing_.joinable()) writing_.join();
  }

  void Start() {
    PipelineSetup setup;
    setup.recorder.directory = folder_.File("sessions");
    setup.recorder.reserve = 1;
    setup.sources_finished = [] { return false; };
    pipeline_ = std::make_unique<Pipeline>(queue_, files_, clock_, log_, counters_, box_, setup);
    writing_ = std::thread([this] { pipeline_->Run(); });
    const ControlApi api(queue_, *pipeline_, box_);
    const web::ServerSetup server{folder_.File("socket"),
                                  web::ListenAddress{"127.0.0.1", 0, true},
                                  kToken,
                                  api.Routes(),
                                  EmbeddedFiles(),
                                  api.feed()};
    auto made = web::Server::Create(server, log_);
    ASSERT_OK(made);
    server_ = std::move(*made);
    server_->Start();
    browser_ = std::make_unique<testing::BrowserClient>(*server_->page(), kToken);
  }

  Response Get(const std::string& target) { return browser_->Get(target); }
  Response Send(const std::string& method, const std::string& target,
                const std::string& body = "") {
    return browser_->Send(browser_->Make(method, target, body));
  }
  std::unique_ptr<Socket> Listen() { return browser_->Listen(); }
  static json Hear(Socket& socket) { return json::parse(testing::BrowserClient::Hear(socket)); }

  testing::TempDir folder_;
  PosixFiles files_;
  SystemClock clock_;
  testing::KeepingLog log_;
  Counters counters_;
  SnapshotBox box_;
  FrameQueue queue_;
  std::unique_ptr<Pipeline> pipeline_;
  std::unique_ptr<web::Server> server_;
  std::thread writing_;
  std::unique_ptr<testing::BrowserClient> browser_;
};

TEST_F(PageTest, GivesItsFilesWithTheirTypes) {
  Start();
  const Response page = Get("/");
  EXPECT_EQ(page.result_int(), 200u);
  EXPECT_EQ(page[http::field::content_type], "text/html; charset=utf-8");
  EXPECT_THAT(page.body(), HasSubstr("High voltage kills"));
  EXPECT_THAT(page.body(), HasSubstr("Set this page up before driving"));
  EXPECT_EQ(Get("/main.js")[http::field::content_type], "text/javascript; charset=utf-8");
  EXPECT_EQ(Get("/page.css")[http::field::content_type], "text/css; charset=utf-8");
  EXPECT_THAT(Get("/dygraph.min.js").body(), HasSubstr("Dygraph"));
  const Response head = Send("HEAD", "/");
  EXPECT_EQ(head.result_int(), 200u);
  EXPECT_EQ(Get("/../etc/passwd").result_int(), 404u);
  EXPECT_EQ(Get("/index.html?x").result_int(), 404u);
  EXPECT_EQ(Send("POST", "/").result_int(), 405u);
}

// Our own files keep to the policy: what it forbids would only fail in the browser.
TEST_F(PageTest, TheFilesHaveNothingInline) {
  Start();
  const std::string page = Get("/").body();
  for (const char* forbidden :
       {" style=", " onclick=", "<style", "javascript:", "http://", "https://"}) {
    EXPECT_EQ(page.find(forbidden), std::string::npos) << forbidden;
  }
  EXPECT_EQ(page.find("<script>"), std::string::npos);
}

TEST_F(PageTest, RecordsAndMarks) {
  Start();
  EXPECT_EQ(Send("POST", "/api/record/start", R"({"name":"x"})").result_int(), 200u);
  EXPECT_EQ(Send("POST", "/api/mark", R"({"text":"pump on"})").result_int(), 200u);
  const Response ended = Send("POST", "/api/record/stop");
  EXPECT_EQ(json::parse(ended.body())["events"], 1);
}

TEST_F(PageTest, WhatIsPossibleIsListedWhole) {
  Start();
  const Response answer = Get("/api/nothing");
  EXPECT_EQ(answer.result_int(), 404u);
  EXPECT_EQ(json::parse(answer.body())["error"],
            "there is no /api/nothing; possible: GET /api/status, GET /api/vehicle, GET /api/now, "
            "GET /api/history, POST /api/record/start, POST /api/record/stop, POST /api/mark, "
            "POST /api/codes, POST /api/identify, POST /api/clear, WebSocket /api/live, "
            "POST /api/sign-in, POST /api/sign-out");
}

TEST_F(PageTest, TheLinkIsToldOverTheSocketAlone) {
  Start();
  EXPECT_EQ(json::parse(Get("/api/status").body()).contains("page"), false);
}

TEST_F(PageTest, TellsTheVehicleFirstThenWhatIsSo) {
  Start();
  const auto socket = Listen();
  EXPECT_EQ(Hear(*socket)["kind"], "vehicle");
  EXPECT_EQ(Hear(*socket)["kind"], "now");
  EXPECT_EQ(Hear(*socket)["kind"], "now");
}

// Offers frames faster than they are read, but never more than the queue holds: one is lost only
// when something holds the writing thread up. If pages could, this would not end.
TEST_F(PageTest, FiftyPagesThatDoNotReadCostNoFrame) {
  Start();
  ASSERT_EQ(Send("POST", "/api/record/start", R"({"name":"x"})").result_int(), 200u);
  std::vector<std::unique_ptr<Socket>> pages;
  for (int i = 0; i < 50; ++i) pages.push_back(Listen());
  std::vector<Frame> frames(10000);
  for (Frame& frame : frames) frame.time = clock_.Now().wall;
  for (std::uint64_t round = 1; round <= 20; ++round) {
    queue_.Offer(frames);
    while (box_.Get()->frames < round * frames.size()) {
      std::this_thread::sleep_for(std::chrono::milliseconds(5));
    }
  }
  EXPECT_EQ(counters_.Get(Counter::kQueueDrops), 0u);
  EXPECT_EQ(Hear(*pages.back())["kind"], "vehicle") << "they are still connected";
  const json ended = json::parse(Send("POST", "/api/record/stop").body());
  EXPECT_EQ(ended["frames"], 200000);
  EXPECT_EQ(ended["dropped"], 0);
}

std::size_t ResidentBytes() {
  std::size_t pages = 0;
  std::ifstream("/proc/self/statm") >> pages >> pages;
  return pages * static_cast<std::size_t>(::sysconf(_SC_PAGESIZE));
}

#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)  // gcc
constexpr bool kWithSanitizers = true;
#elif defined(__has_feature)  // clang
constexpr bool kWithSanitizers =
    __has_feature(address_sanitizer) || __has_feature(thread_sanitizer);
#else
constexpr bool kWithSanitizers = false;
#endif

// Newest wins: two megabytes ten times a second to ten pages that do not read would be 60 MB after
// three seconds even if they shared every message.
TEST_F(PageTest, PagesThatDoNotReadCostOneMessage) {
  if (kWithSanitizers) GTEST_SKIP() << "sanitizers keep what was freed";
  Snapshot large = CartSnapshot(CartDefinitions(), 0);
  large.recording.emplace();
  large.recording->path = std::string(2 << 20, 'x');
  Start();
  queue_.Close();
  writing_.join();  // nobody else makes snapshots
  box_.Set(std::make_shared<const Snapshot>(large));
  std::vector<std::unique_ptr<Socket>> pages;
  for (int i = 0; i < 10; ++i) pages.push_back(Listen());
  for (int i = 0; i < 10; ++i) EXPECT_EQ(Hear(*pages[0])["kind"], i == 0 ? "vehicle" : "now");
  const std::size_t before = ResidentBytes();
  for (int i = 0; i < 30; ++i) EXPECT_EQ(Hear(*pages[0])["kind"], "now");
  EXPECT_LT(ResidentBytes(), before + (std::size_t{24} << 20));
}

}  // namespace
}  // namespace proofdrive::daemon
