// The server over real sockets: the Unix socket byte by byte, the page as a browser asks for it.
#include "web/server/server.h"

#include <gmock/gmock.h>
#include <sys/stat.h>

#include <thread>

#include "core/base/posix_files.h"
#include "tests/support/browser_client.h"
#include "tests/support/keeping_log.h"
#include "tests/support/matchers.h"
#include "tests/support/socket_client.h"
#include "tests/support/temp_dir.h"
#include "web/server/guests.h"

namespace proofdrive::web {
namespace {

using testing::BrowserClient;
using ::testing::HasSubstr;
using testing::IsError;
using testing::IsOk;
using ::testing::Not;
using ::testing::StartsWith;
using Field = BrowserClient::Field;

constexpr char kToken[] = "0123456789abcdefgh";
constexpr EmbeddedFile kFiles[] = {{"index.html", "<p>invented"}};

// Tells who it is, then numbers.
class CountingSource : public LiveSource {
 public:
  void Tick() override { news_ = std::make_shared<const std::string>(std::to_string(++ticks_)); }
  SharedText introduction() override { return introduction_; }
  SharedText news() override { return news_; }

 private:
  int ticks_ = 0;
  const SharedText introduction_ = std::make_shared<const std::string>("invented");
  SharedText news_ = std::make_shared<const std::string>("0");
};

class ServerTest : public ::testing::Test {
 protected:
  ~ServerTest() override {
    if (server_) server_->Stop();
  }

  Result<std::unique_ptr<Server>> Create(std::optional<ListenAddress> page = std::nullopt) {
    const auto done = [](const Call&, const Reply& reply) { reply(Response{}); };
    return Server::Create({path_,
                           page,
                           page ? kToken : "",
                           {{"GET", "/api/look", done}, {"POST", "/api/do", done}},
                           kFiles,
                           std::make_shared<CountingSource>()},
                          log_);
  }
  void Start(std::optional<ListenAddress> page = std::nullopt) {
    auto server = Create(std::move(page));
    ASSERT_OK(server);
    server_ = std::move(*server);
    server_->Start();
  }

  std::string Raw(const std::string& bytes) { return testing::SayTo(path_, bytes); }
  std::string Ask(const std::string& method, const std::string& target) {
    return testing::AskOver(path_, method, target);
  }

  testing::TempDir folder_;
  const std::string path_ = folder_.File("control.sock");
  PosixFiles files_;
  testing::KeepingLog log_;
  std::unique_ptr<Server> server_;
};

TEST_F(ServerTest, OnlyThisUserMayUseTheSocket) {
  Start();
  struct stat info {};
  ASSERT_EQ(::stat(path_.c_str(), &info), 0);
  EXPECT_TRUE(S_ISSOCK(info.st_mode));
  EXPECT_EQ(info.st_mode & 0777, 0600u);
}

TEST_F(ServerTest, MalformedRequestsAreAnsweredOrCutOffAndTheServerLives) {
  Start();
  EXPECT_THAT(Raw("hello\r\n\r\n"), StartsWith("HTTP/1.1 400"));
  EXPECT_THAT(Raw("GET /api/look HTTP/9.9\r\n\r\n"), StartsWith("HTTP/1.1 400"));
  EXPECT_THAT(Raw("GET / HTTP/1.1\r\nx: " + std::string(10000, 'x') + "\r\n\r\n"),
              StartsWith("HTTP/1.1 431"));
  EXPECT_THAT(Raw("POST /api/do HTTP/1.1\r\nContent-Length: 70000\r\n\r\n"),
              StartsWith("HTTP/1.1 413"));
  EXPECT_THAT(Raw("POST /api/do HTTP/1.1\r\nContent-Length: -1\r\n\r\n"),
              StartsWith("HTTP/1.1 400"));
  EXPECT_EQ(Raw("GET /api/lo"), "");
  EXPECT_EQ(Raw(""), "");
  EXPECT_EQ(Raw(std::string(3, '\0')).substr(0, 12), "HTTP/1.1 400");
  EXPECT_THAT(Ask("GET", "/api/look"), StartsWith("HTTP/1.1 200"));
}

TEST_F(ServerTest, SeveralRequestsOnOneConnection) {
  Start();
  const std::string one = "GET /api/look HTTP/1.1\r\nHost: x\r\n\r\n";
  const std::string last = "GET /none HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n";
  const std::string answers = Raw(one + one + last);
  EXPECT_THAT(answers, StartsWith("HTTP/1.1 200"));
  EXPECT_THAT(answers, HasSubstr("HTTP/1.1 404"));
}

TEST_F(ServerTest, SilentClientsDoNotKeepOthersOut) {
  Start();
  std::vector<int> silent;
  for (std::size_t i = 0; i < Server::kConnectionLimit; ++i) {
    silent.push_back(testing::ConnectTo(path_));
  }
  std::this_thread::sleep_for(Guests::kSlow + std::chrono::milliseconds(200));
  EXPECT_THAT(Ask("GET", "/api/look"), StartsWith("HTTP/1.1 200"));
  for (const int descriptor : silent) ::close(descriptor);
}

TEST_F(ServerTest, ALeftSocketIsReplacedALivingOneIsNot) {
  const sockaddr_un address = testing::SocketAddress(path_);
  const int dead = ::socket(AF_UNIX, SOCK_STREAM, 0);
  ASSERT_EQ(::bind(dead, reinterpret_cast<const sockaddr*>(&address), sizeof(address)), 0);
  ::close(dead);
  Start();
  EXPECT_THAT(Create(), IsError(ErrorKind::kBusy, "a daemon answers on " + path_ +
                                                      " already: stop it, or give --socket "
                                                      "another path"));
  EXPECT_THAT(Ask("GET", "/api/look"), StartsWith("HTTP/1.1 200"))
      << "the living one is not disturbed";
  server_->Stop();
  EXPECT_FALSE(files_.Exists(path_)) << "removed at the end";
}

TEST_F(ServerTest, AnotherFileIsLeftAlone) {
  ASSERT_OK(ReplaceFile(files_, path_, "precious"));
  EXPECT_THAT(Create(),
              IsError(ErrorKind::kAlreadyExists,
                      path_ + " is not a socket and is left alone: give --socket another path"));
  EXPECT_EQ(ReadWholeFile(files_, path_).value(), "precious");
}

class PageServerTest : public ServerTest {
 protected:
  void Start() {
    ServerTest::Start(ListenAddress{"127.0.0.1", 0, true});
    browser_ = std::make_unique<BrowserClient>(*server_->page(), kToken);
  }
  unsigned StatusOf(const BrowserClient::Request& request) {
    return browser_->Send(request).result_int();
  }
  unsigned StatusWithout(BrowserClient::Request request) {
    request.erase(Field::authorization);
    return StatusOf(request);
  }

  std::unique_ptr<BrowserClient> browser_;
};

TEST_F(PageServerTest, EveryAnswerIsProtected) {
  Start();
  for (const char* target : {"/", "/api/look", "/none"}) {
    const auto answer = browser_->Get(target);
    EXPECT_EQ(
        answer["Content-Security-Policy"],
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src "
        "'self'; manifest-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors "
        "'none'");
    EXPECT_EQ(answer["X-Frame-Options"], "DENY");
    EXPECT_EQ(answer["X-Content-Type-Options"], "nosniff");
    EXPECT_EQ(answer["Access-Control-Allow-Origin"], "");
    const bool file = std::string(target) == "/";
    EXPECT_EQ(answer[Field::cache_control], file ? "no-cache" : "no-store");
  }
}

TEST_F(PageServerTest, StrangersAreKeptOut) {
  Start();
  const auto post = [this](Field field, const char* value) {
    auto request = browser_->Make("POST", "/api/do", "{}");
    request.set(field, value);
    return StatusOf(request);
  };
  EXPECT_EQ(post(Field::origin, "http://evil.example"), 403u);
  EXPECT_EQ(post(Field::host, "evil.example"), 421u);
  EXPECT_EQ(post(Field::content_type, "text/plain"), 415u);
  for (const auto& field : {std::pair("Origin", "http://evil.example"), {"Host", "evil.example"}}) {
    BrowserClient::Error error;
    const auto socket = browser_->Listen(
        [&](BrowserClient::Request& fields) {
          browser_->AddToken(fields);
          fields.set(field.first, field.second);
        },
        error);
    EXPECT_EQ(error, boost::beast::websocket::error::upgrade_declined) << field.first;
  }
}

TEST_F(PageServerTest, TheTokenOpensEverything) {
  Start();
  EXPECT_EQ(StatusWithout(browser_->Make("GET", "/")), 200u);
  EXPECT_EQ(StatusWithout(browser_->Make("GET", "/api/look")), 401u);
  EXPECT_EQ(StatusWithout(browser_->Make("POST", "/api/do", "{}")), 401u)
      << "on loopback, too: other users of the machine reach it";
  BrowserClient::Error error;
  browser_->Listen([](BrowserClient::Request&) {}, error);
  EXPECT_EQ(error, boost::beast::websocket::error::upgrade_declined);
  const auto in = browser_->Send(
      browser_->Make("POST", "/api/sign-in", std::string(R"({"token":")") + kToken + "\"}"));
  EXPECT_EQ(in.result_int(), 200u);
  const std::string cookie(in[Field::set_cookie]);
  auto request = browser_->Make("GET", "/api/look");
  request.erase(Field::authorization);
  request.set(Field::cookie, cookie.substr(0, cookie.find(';')));
  EXPECT_EQ(StatusOf(request), 200u);
  browser_->Listen();
  for (const std::string& line : log_.lines()) EXPECT_THAT(line, Not(HasSubstr(kToken)));
}

// All connections of one address: who comes next gets the place of the slowest.
TEST_F(PageServerTest, SilentConnectionsDoNotKeepOthersOut) {
  Start();
  std::vector<BrowserClient::Tcp::socket> silent;
  for (std::size_t i = 0; i < Server::kPageConnectionLimit; ++i) {
    silent.push_back(browser_->Connect());
  }
  const auto look = [&] {
    auto socket = browser_->Connect();
    BrowserClient::Error error;
    boost::beast::http::write(socket, browser_->Make("GET", "/api/look"), error);
    boost::beast::flat_buffer buffer;
    BrowserClient::Response answer;
    if (!error) boost::beast::http::read(socket, buffer, answer, error);
    return error ? 0u : answer.result_int();
  };
  unsigned status = 0;
  for (int i = 0; i < 100 && status == 0; ++i) {
    std::this_thread::sleep_for(std::chrono::milliseconds(100));
    status = look();
  }
  EXPECT_EQ(status, 200u);
}

TEST_F(PageServerTest, TheIntroductionComesFirstThenWhatIsNew) {
  Start();
  const auto socket = browser_->Listen();
  EXPECT_EQ(BrowserClient::Hear(*socket), "invented");
  const int first = std::stoi(BrowserClient::Hear(*socket));
  EXPECT_EQ(std::stoi(BrowserClient::Hear(*socket)), first + 1);
}

TEST_F(PageServerTest, WhatAPageSendsIsIgnoredAndNonsenseEndsIt) {
  Start();
  const auto socket = browser_->Listen();
  socket->write(boost::asio::buffer(std::string("hello")));
  EXPECT_EQ(BrowserClient::Hear(*socket), "invented");
  BrowserClient::Error error;
  socket->write(boost::asio::buffer(std::string(5000, 'x')), error);
  boost::beast::flat_buffer buffer;
  for (int i = 0; i < 1000 && !error; ++i) {
    socket->read(buffer, error);
    buffer.clear();
  }
  EXPECT_TRUE(error) << "too long a message is not taken";
  EXPECT_THAT(browser_->Get("/api/look").result_int(), 200u) << "others are not disturbed";
}

}  // namespace
}  // namespace proofdrive::web
