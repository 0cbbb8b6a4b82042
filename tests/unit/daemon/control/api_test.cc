#include "daemon/control/api.h"

#include <gmock/gmock.h>

#include <nlohmann/json.hpp>
#include <thread>

#include "core/base/posix_files.h"
#include "tests/support/keeping_log.h"
#include "tests/support/matchers.h"
#include "tests/support/socket_client.h"
#include "tests/support/temp_dir.h"
#include "web/server/server.h"

namespace proofdrive::daemon {
namespace {

using nlohmann::json;
using ::testing::HasSubstr;
using testing::IsOk;
using ::testing::StartsWith;

// A daemon's inside with a real socket.
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

  void Start() {
    const ControlApi api(queue_, *pipeline_, box_);
    api.SetPageLink("http://127.0.0.1:8642/#token=x");
    auto server = web::Server::Create({path_, {}, {}, api.Routes(), {}, api.feed()}, log_);
    ASSERT_OK(server);
    server_ = std::move(*server);
    server_->Start();
  }

  struct Answer {
    int status = 0;
    json body;
    std::string error() const { return body.value("error", ""); }
  };
  Answer Ask(const std::string& method, const std::string& target, const std::string& body = "") {
    const std::string raw = testing::AskOver(path_, method, target, body);
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
  testing::KeepingLog log_;
  Counters counters_;
  SnapshotBox box_;
  FrameQueue queue_;
  std::unique_ptr<Pipeline> pipeline_;
  std::unique_ptr<web::Server> server_;
  std::thread writing_;
};

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

TEST_F(ApiTest, TheEndingOfASessionMayBeWritten) {
  Start();
  ASSERT_EQ(Ask("POST", "/api/record/start", R"({"name":"x.session"})").status, 200);
  const Answer taken = Ask("POST", "/api/record/start", R"({"name":"y"})");
  EXPECT_THAT(taken.error(), HasSubstr("already recording x:"));
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
