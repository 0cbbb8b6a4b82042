// The live page over TCP: files, protecting fields, the token, the WebSocket.
#include <gmock/gmock.h>

#include <unistd.h>

#include <algorithm>
#include <boost/asio/ip/tcp.hpp>
#include <boost/beast/core/buffers_to_string.hpp>
#include <boost/beast/core/flat_buffer.hpp>
#include <boost/beast/http.hpp>
#include <boost/beast/websocket.hpp>
#include <fstream>
#include <nlohmann/json.hpp>
#include <thread>

#include "core/base/posix_files.h"
#include "daemon/control/api.h"
#include "daemon/page/embedded_file.h"
#include "tests/support/matchers.h"
#include "tests/support/temp_dir.h"
#include "tests/unit/daemon/json/live_snapshot.h"
#include "tests/unit/daemon/recording/recording_log.h"
#include "web/server/server.h"

namespace proofdrive::daemon {
namespace {

namespace asio = boost::asio;
namespace beast = boost::beast;
namespace http = beast::http;
using nlohmann::json;
using Tcp = asio::ip::tcp;
using ::testing::HasSubstr;
using testing::IsOk;
using Request = http::request<http::string_body>;
using Response = http::response<http::string_body>;
using Socket = beast::websocket::stream<Tcp::socket>;

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
    host_ = server_->page()->Text();
  }

  Tcp::socket Connect() {
    Tcp::socket socket(context_);
    socket.connect({asio::ip::make_address("127.0.0.1"), server_->page()->port});
    return socket;
  }

  Request Make(const std::string& method, const std::string& target, const std::string& body = "") {
    Request request;
    request.version(11);
    request.method_string(method);
    request.target(target);
    request.set(http::field::host, host_);
    request.set(http::field::authorization, std::string("Bearer ") + kToken);
    if (method == "POST") request.set(http::field::content_type, "application/json");
    request.body() = body;
    request.prepare_payload();
    return request;
  }

  Response Send(const Request& request) {
    Tcp::socket socket = Connect();
    http::write(socket, request);
    beast::flat_buffer buffer;
    http::response_parser<http::string_body> parser;
    if (request.method() == http::verb::head) parser.skip(true);
    http::read(socket, buffer, parser);
    return parser.release();
  }
  Response Get(const std::string& target) { return Send(Make("GET", target)); }

  unsigned StatusWithout(Request request) {
    request.erase(http::field::authorization);
    return Send(request).result_int();
  }

  // Connected and welcomed; `decorate` adds fields to the request.
  std::unique_ptr<Socket> Listen(const std::function<void(Request&)>& decorate,
                                 beast::error_code& error) {
    auto socket = std::make_unique<Socket>(Connect());
    socket->set_option(
        beast::websocket::stream_base::decorator([&](beast::websocket::request_type& request) {
          Request fields;
          decorate(fields);
          for (const auto& field : fields) request.set(field.name_string(), field.value());
        }));
    socket->handshake(host_, "/api/live", error);
    return socket;
  }
  std::unique_ptr<Socket> Listen() {
    beast::error_code error;
    auto socket = Listen(
        [](Request& fields) {
          fields.set(http::field::authorization, std::string("Bearer ") + kToken);
        },
        error);
    EXPECT_FALSE(error) << error.message();
    return socket;
  }
  static json Hear(Socket& socket) {
    beast::flat_buffer buffer;
    socket.read(buffer);
    return json::parse(beast::buffers_to_string(buffer.data()));
  }

  testing::TempDir folder_;
  PosixFiles files_;
  SystemClock clock_;
  RecordingLog log_;
  Counters counters_;
  SnapshotBox box_;
  FrameQueue queue_;
  std::unique_ptr<Pipeline> pipeline_;
  std::unique_ptr<web::Server> server_;
  std::thread writing_;
  asio::io_context context_;
  std::string host_;
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
  const Response head = Send(Make("HEAD", "/"));
  EXPECT_EQ(head.result_int(), 200u);
  EXPECT_EQ(Get("/../etc/passwd").result_int(), 404u);
  EXPECT_EQ(Get("/index.html?x").result_int(), 404u);
  EXPECT_EQ(Send(Make("POST", "/")).result_int(), 405u);
}

TEST_F(PageTest, AFileThatIsKnownIsNotSentAgain) {
  Start();
  Request request = Make("GET", "/page.css");
  request.set(http::field::if_none_match, Get("/page.css")[http::field::etag]);
  const Response again = Send(request);
  EXPECT_EQ(again.result_int(), 304u);
  EXPECT_EQ(again.body(), "");
}

TEST_F(PageTest, EveryAnswerIsProtected) {
  Start();
  for (const char* target : {"/", "/api/now", "/none"}) {
    const Response answer = Get(target);
    EXPECT_EQ(
        answer["Content-Security-Policy"],
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src "
        "'self'; manifest-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors "
        "'none'");
    EXPECT_EQ(answer["X-Frame-Options"], "DENY");
    EXPECT_EQ(answer["X-Content-Type-Options"], "nosniff");
    EXPECT_EQ(answer["Access-Control-Allow-Origin"], "");
    const bool file = std::string(target) == "/";
    EXPECT_EQ(answer[http::field::cache_control], file ? "no-cache" : "no-store");
  }
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
  EXPECT_EQ(Send(Make("POST", "/api/record/start", R"({"name":"x"})")).result_int(), 200u);
  EXPECT_EQ(Send(Make("POST", "/api/mark", R"({"text":"pump on"})")).result_int(), 200u);
  const Response ended = Send(Make("POST", "/api/record/stop"));
  EXPECT_EQ(json::parse(ended.body())["events"], 1);
}

TEST_F(PageTest, StrangersAreKeptOut) {
  Start();
  Request request = Make("POST", "/api/record/start", R"({"name":"x"})");
  request.set(http::field::origin, "http://evil.example");
  EXPECT_EQ(Send(request).result_int(), 403u);
  request = Make("POST", "/api/record/start", R"({"name":"x"})");
  request.set(http::field::host, "evil.example");
  EXPECT_EQ(Send(request).result_int(), 421u);
  request = Make("POST", "/api/record/start", R"({"name":"x"})");
  request.set(http::field::content_type, "text/plain");
  EXPECT_EQ(Send(request).result_int(), 415u);
  EXPECT_FALSE(box_.Get()->recording);
  for (const auto& [name, value] :
       {std::pair("Origin", "http://evil.example"), {"Host", "evil.example"}}) {
    beast::error_code error;
    const auto socket = Listen(
        [&](Request& fields) {
          fields.set(http::field::authorization, std::string("Bearer ") + kToken);
          fields.set(name, value);
        },
        error);
    EXPECT_EQ(error, beast::websocket::error::upgrade_declined) << name;
  }
}

TEST_F(PageTest, TheTokenOpensEverything) {
  Start();
  EXPECT_EQ(StatusWithout(Make("GET", "/")), 200u);
  EXPECT_EQ(StatusWithout(Make("GET", "/api/now")), 401u);
  EXPECT_EQ(StatusWithout(Make("GET", "/none")), 401u);
  EXPECT_EQ(StatusWithout(Make("POST", "/api/record/start", R"({"name":"x"})")), 401u)
      << "on loopback, too: other users of the machine reach it";
  beast::error_code error;
  Listen([](Request&) {}, error);
  EXPECT_EQ(error, beast::websocket::error::upgrade_declined);

  EXPECT_EQ(Send(Make("POST", "/api/sign-in", R"({"token":"wrong"})")).result_int(), 401u);
  EXPECT_EQ(Send(Make("POST", "/api/sign-in", "[")).result_int(), 401u);
  const Response in =
      Send(Make("POST", "/api/sign-in", std::string(R"({"token":")") + kToken + "\"}"));
  EXPECT_EQ(in.result_int(), 200u);
  const std::string cookie(in[http::field::set_cookie]);
  EXPECT_THAT(cookie, HasSubstr("HttpOnly; SameSite=Strict"));

  Request request = Make("GET", "/api/now");
  request.erase(http::field::authorization);
  request.set(http::field::cookie, cookie.substr(0, cookie.find(';')));
  EXPECT_EQ(Send(request).result_int(), 200u);
  const auto socket = Listen(
      [](Request& fields) { fields.set("Authorization", std::string("Bearer ") + kToken); }, error);
  EXPECT_FALSE(error) << error.message();
  EXPECT_THAT(Send(Make("POST", "/api/sign-out"))["Set-Cookie"], HasSubstr("Max-Age=0"));
  for (const std::string& line : log_.lines()) EXPECT_THAT(line, ::testing::Not(HasSubstr(kToken)));
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

// All connections of one address: who comes next gets the place of the slowest.
TEST_F(PageTest, SilentConnectionsDoNotKeepOthersOut) {
  Start();
  std::vector<Tcp::socket> silent;
  for (std::size_t i = 0; i < web::Server::kPageConnectionLimit; ++i) silent.push_back(Connect());
  const auto page = [&] {
    Tcp::socket socket = Connect();
    beast::error_code error;
    http::write(socket, Make("GET", "/api/now"), error);
    beast::flat_buffer buffer;
    Response answer;
    if (!error) http::read(socket, buffer, answer, error);
    return error ? 0u : answer.result_int();
  };
  unsigned status = 0;
  for (int i = 0; i < 100 && status == 0; ++i) {
    std::this_thread::sleep_for(std::chrono::milliseconds(100));
    status = page();
  }
  EXPECT_EQ(status, 200u);
}

TEST_F(PageTest, TellsTheVehicleFirstThenWhatIsSo) {
  Start();
  const auto socket = Listen();
  EXPECT_EQ(Hear(*socket)["kind"], "vehicle");
  EXPECT_EQ(Hear(*socket)["kind"], "now");
  EXPECT_EQ(Hear(*socket)["kind"], "now");
}

TEST_F(PageTest, WhatAPageSendsIsIgnoredAndNonsenseEndsIt) {
  Start();
  const auto socket = Listen();
  socket->write(asio::buffer(std::string("hello")));
  EXPECT_EQ(Hear(*socket)["kind"], "vehicle");
  beast::error_code error;
  socket->write(asio::buffer(std::string(5000, 'x')), error);
  beast::flat_buffer buffer;
  for (int i = 0; i < 1000 && !error; ++i) {
    socket->read(buffer, error);
    buffer.clear();
  }
  EXPECT_TRUE(error) << "too long a message is not taken";
  EXPECT_EQ(Get("/api/now").result_int(), 200u) << "others are not disturbed";
}

// Offers frames faster than they are read, but never more than the queue holds: one is lost only
// when something holds the writing thread up. If pages could, this would not end.
TEST_F(PageTest, FiftyPagesThatDoNotReadCostNoFrame) {
  Start();
  ASSERT_EQ(Send(Make("POST", "/api/record/start", R"({"name":"x"})")).result_int(), 200u);
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
  const json ended = json::parse(Send(Make("POST", "/api/record/stop")).body());
  EXPECT_EQ(ended["frames"], 200000);
  EXPECT_EQ(ended["dropped"], 0);
}

std::size_t ResidentBytes() {
  std::size_t pages = 0;
  std::ifstream("/proc/self/statm") >> pages >> pages;
  return pages * static_cast<std::size_t>(::sysconf(_SC_PAGESIZE));
}

// Newest wins: two megabytes ten times a second to ten pages that do not read would be 60 MB after
// three seconds even if they shared every message.
TEST_F(PageTest, PagesThatDoNotReadCostOneMessage) {
#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
  GTEST_SKIP() << "sanitizers keep what was freed";
#endif
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
