#include "daemon/control/api.h"

#include <gmock/gmock.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/un.h>
#include <unistd.h>

#include <nlohmann/json.hpp>
#include <thread>

#include "core/base/posix_files.h"
#include "tests/support/matchers.h"
#include "tests/support/temp_dir.h"
#include "tests/unit/daemon/recording/recording_log.h"
#include "web/server/guests.h"
#include "web/server/server.h"

namespace proofdrive::daemon {
namespace {

using nlohmann::json;
using ::testing::HasSubstr;
using testing::IsError;
using testing::IsOk;
using ::testing::StartsWith;

// A daemon's inside with a real socket, spoken to byte by byte.
class ApiTest : public ::testing::Test {
 protected:
  ApiTest() {
    PipelineSetup setup;
    setup.recorder.directory = folder_.File("sessions");
    setup.recorder.reserve = 1;
    setup.sources_finished = [] { return false; };
    setup.sources = "test:1";
    pipeline_ = std::make_unique<Pipeline>(queue_, files_, clock_, log_, counters_, box_, setup);
    writing_ = std::thread([this] { pipeline_->Run(); });
  }
  ~ApiTest() override {
    queue_.Close();
    writing_.join();
    if (server_) server_->Stop();
  }

  Result<std::unique_ptr<web::Server>> Create() {
    const ControlApi api(queue_, *pipeline_, box_);
    api.SetPageLink("http://127.0.0.1:8642/#token=x");
    return web::Server::Create({path_, {}, {}, api.Routes(), {}, api.feed()}, log_);
  }
  void Start() {
    auto server = Create();
    ASSERT_OK(server);
    server_ = std::move(*server);
    server_->Start();
  }

  int Connect() {
    sockaddr_un address{};
    address.sun_family = AF_UNIX;
    path_.copy(address.sun_path, sizeof(address.sun_path) - 1);
    const int descriptor = ::socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0);
    EXPECT_EQ(::connect(descriptor, reinterpret_cast<sockaddr*>(&address), sizeof(address)), 0);
    const timeval patience{20, 0};
    ::setsockopt(descriptor, SOL_SOCKET, SO_RCVTIMEO, &patience, sizeof(patience));
    return descriptor;
  }

  // Sends the bytes and reads until the server closes.
  std::string Raw(const std::string& bytes) {
    const int descriptor = Connect();
    EXPECT_GE(::send(descriptor, bytes.data(), bytes.size(), MSG_NOSIGNAL), 0);
    ::shutdown(descriptor, SHUT_WR);
    std::string answer;
    char part[4096];
    for (ssize_t got = 1; got > 0;) {
      got = ::recv(descriptor, part, sizeof(part), 0);
      if (got > 0) answer.append(part, static_cast<std::size_t>(got));
    }
    ::close(descriptor);
    return answer;
  }

  struct Answer {
    int status = 0;
    json body;
    std::string error() const { return body.value("error", ""); }
  };
  Answer Ask(const std::string& method, const std::string& target, const std::string& body = "") {
    const std::string raw =
        Raw(method + " " + target + " HTTP/1.1\r\nHost: x\r\nConnection: close" +
            "\r\nContent-Length: " + std::to_string(body.size()) + "\r\n\r\n" + body);
    Answer answer;
    if (raw.size() < 12) return answer;
    answer.status = std::stoi(raw.substr(9, 3));
    answer.body = json::parse(raw.substr(raw.find("\r\n\r\n")), nullptr, false);
    return answer;
  }

  testing::TempDir folder_;
  const std::string path_ = folder_.File("control.sock");
  PosixFiles files_;
  SystemClock clock_;
  RecordingLog log_;
  Counters counters_;
  SnapshotBox box_;
  FrameQueue queue_;
  std::unique_ptr<Pipeline> pipeline_;
  std::unique_ptr<web::Server> server_;
  std::thread writing_;
};

TEST_F(ApiTest, OnlyThisUserMayUseTheSocket) {
  Start();
  struct stat info {};
  ASSERT_EQ(::stat(path_.c_str(), &info), 0);
  EXPECT_TRUE(S_ISSOCK(info.st_mode));
  EXPECT_EQ(info.st_mode & 0777, 0600u);
}

TEST_F(ApiTest, RecordMarkAndStop) {
  Start();
  EXPECT_TRUE(Ask("GET", "/api/status").body["recording"].is_null());
  const Answer started =
      Ask("POST", "/api/record/start", R"({"name":"x","stage":"drive","notes":"n","for_s":600})");
  EXPECT_EQ(started.status, 200);
  EXPECT_EQ(started.body, json({{"path", folder_.File("sessions") + "/x.session"}}));
  const Answer marked = Ask("POST", "/api/mark", R"({"text":"pump on"})");
  EXPECT_EQ(marked.status, 200);
  EXPECT_EQ(marked.body["text"], "pump on");
  const Answer status = Ask("GET", "/api/status");
  EXPECT_EQ(status.body["sources"], "test:1");
  EXPECT_EQ(status.body["page"], "http://127.0.0.1:8642/#token=x") << "for the socket's owner";
  EXPECT_EQ(status.body["recording"]["name"], "x");
  EXPECT_EQ(status.body["recording"]["stage"], "drive");
  const Answer again = Ask("POST", "/api/record/start", R"({"name":"y"})");
  EXPECT_EQ(again.status, 409);
  EXPECT_EQ(again.error(), "already recording x: stop it first with: proofdrive record stop");
  const Answer stopped = Ask("POST", "/api/record/stop");
  EXPECT_EQ(stopped.status, 200);
  EXPECT_EQ(stopped.body["complete"], true);
  EXPECT_EQ(stopped.body["events"], 1);
  EXPECT_TRUE(files_.Exists(folder_.File("sessions") + "/x.session"));
  EXPECT_EQ(Ask("POST", "/api/record/stop").status, 409);
  EXPECT_EQ(Ask("POST", "/api/mark", R"({"text":"late"})").status, 409);
}

TEST_F(ApiTest, ANameThatIsTakenIsRefused) {
  Start();
  ASSERT_EQ(Ask("POST", "/api/record/start", R"({"name":"x"})").status, 200);
  ASSERT_EQ(Ask("POST", "/api/record/stop").status, 200);
  const Answer taken = Ask("POST", "/api/record/start", R"({"name":"x"})");
  EXPECT_EQ(taken.status, 409);
  EXPECT_THAT(taken.error(), HasSubstr("choose another name, for example x-2"));
}

TEST_F(ApiTest, RefusesWithASentence) {
  Start();
  const auto refused = [this](const std::string& body) {
    const Answer answer = Ask("POST", "/api/record/start", body);
    EXPECT_EQ(answer.status, 400) << body;
    return answer.error();
  };
  EXPECT_EQ(refused("[1]"), "the body must be one JSON object");
  EXPECT_EQ(refused("{\"name\":"), "the body must be one JSON object");
  EXPECT_EQ(refused(R"({"nam":"x"})"), "unknown key \"nam\"; possible: name, stage, notes, for_s");
  EXPECT_EQ(refused(R"({"name":7})"), "\"name\" must be text");
  EXPECT_THAT(refused(R"({"name":"../x"})"), StartsWith("\"../x\" cannot name a session"));
  EXPECT_THAT(refused(R"({"name":"x","stage":"lunch"})"), HasSubstr("lunch"));
  for (const char* length : {"0", "-1", "\"1\"", "1e300", "2592001"}) {
    EXPECT_EQ(refused(std::string(R"({"for_s":)") + length + "}"),
              "\"for_s\" must be a number of seconds above 0 and up to 30 days");
  }
  EXPECT_EQ(Ask("POST", "/api/mark", R"({"text":" "})").error(),
            "\"text\" is missing: say what happened");
  EXPECT_EQ(Ask("POST", "/api/mark", "{\"text\":\"" + std::string(3000, 'x') + "\"}").error(),
            "\"text\" is longer than 2,000 characters");
  EXPECT_EQ(Ask("POST", "/api/status").status, 405);
  EXPECT_EQ(Ask("GET", "/api/mark").status, 405);
  const Answer unknown = Ask("GET", "/etc/passwd");
  EXPECT_EQ(unknown.status, 404);
  EXPECT_EQ(unknown.error(),
            "there is no /etc/passwd; possible: GET /api/status, GET /api/vehicle, GET /api/now, "
            "GET /api/history, POST /api/record/start, POST /api/record/stop, POST /api/mark, "
            "POST /api/codes, POST /api/identify, POST /api/clear, WebSocket /api/live");
  EXPECT_EQ(Ask("GET", "/api/live").error(), "ask /api/live with WebSocket");
  EXPECT_EQ(Ask("WebSocket", "/api/live").error(), "ask /api/live with WebSocket");
  EXPECT_EQ(Ask("GET", "/api/codes").error(), "ask /api/codes with POST");
}

TEST_F(ApiTest, MalformedRequestsAreAnsweredOrCutOffAndTheServerLives) {
  Start();
  EXPECT_THAT(Raw("hello\r\n\r\n"), StartsWith("HTTP/1.1 400"));
  EXPECT_THAT(Raw("GET /api/status HTTP/9.9\r\n\r\n"), StartsWith("HTTP/1.1 400"));
  EXPECT_THAT(Raw("GET / HTTP/1.1\r\nx: " + std::string(10000, 'x') + "\r\n\r\n"),
              StartsWith("HTTP/1.1 431"));
  EXPECT_THAT(Raw("POST /api/mark HTTP/1.1\r\nContent-Length: 70000\r\n\r\n"),
              StartsWith("HTTP/1.1 413"));
  EXPECT_THAT(Raw("POST /api/mark HTTP/1.1\r\nContent-Length: -1\r\n\r\n"),
              StartsWith("HTTP/1.1 400"));
  EXPECT_EQ(Raw("GET /api/sta"), "");
  EXPECT_EQ(Raw(""), "");
  EXPECT_EQ(Raw(std::string(3, '\0')).substr(0, 12), "HTTP/1.1 400");
  EXPECT_EQ(Ask("GET", "/api/status").status, 200);
}

TEST_F(ApiTest, SeveralRequestsOnOneConnection) {
  Start();
  const std::string one = "GET /api/status HTTP/1.1\r\nHost: x\r\n\r\n";
  const std::string last = "GET /none HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n";
  const std::string answers = Raw(one + one + last);
  EXPECT_THAT(answers, StartsWith("HTTP/1.1 200"));
  EXPECT_THAT(answers, HasSubstr("HTTP/1.1 404"));
}

TEST_F(ApiTest, SilentClientsDoNotKeepOthersOut) {
  Start();
  std::vector<int> silent;
  for (std::size_t i = 0; i < web::Server::kConnectionLimit; ++i) silent.push_back(Connect());
  std::this_thread::sleep_for(web::Guests::kSlow + std::chrono::milliseconds(200));
  EXPECT_EQ(Ask("GET", "/api/status").status, 200);
  for (const int descriptor : silent) ::close(descriptor);
}

TEST_F(ApiTest, ALeftSocketIsReplacedALivingOneIsNot) {
  {
    sockaddr_un address{};
    address.sun_family = AF_UNIX;
    path_.copy(address.sun_path, sizeof(address.sun_path) - 1);
    const int dead = ::socket(AF_UNIX, SOCK_STREAM, 0);
    ASSERT_EQ(::bind(dead, reinterpret_cast<sockaddr*>(&address), sizeof(address)), 0);
    ::close(dead);
  }
  Start();
  EXPECT_THAT(Create(), IsError(ErrorKind::kBusy, "a daemon answers on " + path_ +
                                                      " already: stop it, or give --socket "
                                                      "another path"));
  EXPECT_EQ(Ask("GET", "/api/status").status, 200) << "the living one is not disturbed";
  server_->Stop();
  EXPECT_FALSE(files_.Exists(path_)) << "removed at the end";
}

TEST_F(ApiTest, AnotherFileIsLeftAlone) {
  ASSERT_OK(ReplaceFile(files_, path_, "precious"));
  EXPECT_THAT(Create(),
              IsError(ErrorKind::kAlreadyExists,
                      path_ + " is not a socket and is left alone: give --socket another path"));
  EXPECT_EQ(ReadWholeFile(files_, path_).value(), "precious");
}

TEST_F(ApiTest, HistoryIsGivenByName) {
  Start();
  EXPECT_EQ(Ask("GET", "/api/history").error(),
            "say which: /api/history?signals=pack_voltage,cell_voltage.lowest");
  EXPECT_EQ(Ask("GET", "/api/history?signals=a%22b").error(), "no history is kept of \"a\"b\"");
  std::string many = "/api/history?signals=a";
  for (int i = 0; i < 16; ++i) many += ",a";
  EXPECT_EQ(Ask("GET", many).error(), "at most 16 signals at once");
}

TEST_F(ApiTest, SaysWhenTheDaemonIsShuttingDown) {
  Start();
  queue_.Close();
  const Answer answer = Ask("POST", "/api/record/start", R"({"name":"x"})");
  EXPECT_EQ(answer.status, 503);
  EXPECT_EQ(answer.error(), "the daemon is shutting down");
}

}  // namespace
}  // namespace proofdrive::daemon
