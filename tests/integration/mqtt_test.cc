// Publishing to a real broker: Debian's mosquitto on loopback, plain and with login and TLS, and a
// broker that hangs.
#include <arpa/inet.h>
#include <fcntl.h>
#include <gmock/gmock.h>
#include <signal.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <fstream>
#include <functional>
#include <nlohmann/json.hpp>
#include <thread>

#include "core/base/posix_files.h"
#include "session/reader.h"
#include "tests/integration/daemon_process.h"
#include "tests/support/matchers.h"
#include "tests/support/places.h"
#include "tests/support/temp_dir.h"

namespace proofdrive {
namespace {

using testing::DaemonProcess;
using ::testing::HasSubstr;

bool Eventually(const std::function<bool()>& so) {
  for (int i = 0; i < 6000; ++i) {
    if (so()) return true;
    std::this_thread::sleep_for(std::chrono::milliseconds(10));
  }
  return false;
}

sockaddr_in Loopback(int port) {
  sockaddr_in address{};
  address.sin_family = AF_INET;
  address.sin_port = htons(static_cast<std::uint16_t>(port));
  address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  return address;
}

// A listening socket on a free port.
class Door {
 public:
  Door() : descriptor_(::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0)) {
    sockaddr_in address = Loopback(0);
    socklen_t size = sizeof(address);
    EXPECT_EQ(::bind(descriptor_, reinterpret_cast<sockaddr*>(&address), size), 0);
    EXPECT_EQ(::listen(descriptor_, 8), 0);
    ::getsockname(descriptor_, reinterpret_cast<sockaddr*>(&address), &size);
    port_ = ntohs(address.sin_port);
  }
  ~Door() { Close(); }
  void Close() {
    if (descriptor_ >= 0) ::close(descriptor_);
    descriptor_ = -1;
  }
  int descriptor() const { return descriptor_; }
  int port() const { return port_; }

 private:
  int descriptor_;
  int port_ = 0;
};

bool Answers(int port) {
  const int descriptor = ::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
  const sockaddr_in address = Loopback(port);
  const bool answers =
      ::connect(descriptor, reinterpret_cast<const sockaddr*>(&address), sizeof(address)) == 0;
  ::close(descriptor);
  return answers;
}

class MqttTest : public ::testing::Test {
 protected:
  ~MqttTest() override { EndBroker(); }

  static bool HasBroker() { return ::access("/usr/sbin/mosquitto", X_OK) == 0; }

  void StartBroker(const std::string& more) {
    if (port_ == 0) {
      Door door;
      port_ = door.port();
    }
    std::ofstream(folder_.File("broker.conf"))
        << "listener " << port_ << " 127.0.0.1\nlog_dest file " << folder_.File("broker.log")
        << "\nlog_type all\nuser root\n"
        << more;
    const std::string conf = folder_.File("broker.conf");
    broker_ = ::fork();
    if (broker_ == 0) {
      const int nothing = ::open("/dev/null", O_WRONLY);
      ::dup2(nothing, STDOUT_FILENO);
      ::dup2(nothing, STDERR_FILENO);
      ::execl("/usr/sbin/mosquitto", "mosquitto", "-c", conf.c_str(), nullptr);
      ::_exit(127);
    }
    ASSERT_TRUE(Eventually([this] { return Answers(port_); }));
  }

  void EndBroker() {
    if (broker_ <= 0) return;
    ::kill(broker_, SIGKILL);
    ::waitpid(broker_, nullptr, 0);
    broker_ = -1;
  }

  std::string BrokerLog() {
    std::ifstream file(folder_.File("broker.log"));
    return {std::istreambuf_iterator<char>(file), {}};
  }

  std::unique_ptr<DaemonProcess> StartDaemon(std::vector<std::string> more) {
    std::vector<std::string> words = {
        "--source",      "bench:coolant-leak@10",
        "--definitions", testing::SourcePath("decoders/library/bramble-seven.yaml"),
        "--sessions",    folder_.path(),
        "--socket",      folder_.File("socket"),
        "--mqtt",        "localhost:" + std::to_string(port_)};
    words.insert(words.end(), more.begin(), more.end());
    return std::make_unique<DaemonProcess>(words, folder_.File("log"));
  }

  static void Shell(const std::string& command) {
    ASSERT_EQ(std::system(command.c_str()), 0) << command;
  }

  testing::TempDir folder_;
  int port_ = 0;
  pid_t broker_ = -1;
};

TEST_F(MqttTest, WarningsAndSignalsReachABroker) {
  if (!HasBroker()) GTEST_SKIP() << "mosquitto is not installed (tools/packages check)";
  StartBroker("allow_anonymous true\n");
  const auto daemon = StartDaemon({"--mqtt-topic", "garage/car", "--mqtt-signals", "pack_voltage"});
  // The broker's own log names every message it takes and whether it is retained.
  EXPECT_TRUE(Eventually([&] {
    const std::string log = BrokerLog();
    return log.find("'garage/car/signals/pack_voltage'") != std::string::npos &&
           log.find("'garage/car/warnings/coolant_low'") != std::string::npos;
  })) << daemon->Log()
      << BrokerLog();
  const std::string log = BrokerLog();
  EXPECT_THAT(log, ::testing::ContainsRegex("PUBLISH from .*d0, q0, r1.*'garage/car/status'"));
  EXPECT_THAT(log, ::testing::ContainsRegex("PUBLISH from .*d0, q0, r1.*'garage/car/warnings/"));
  EXPECT_THAT(log, ::testing::ContainsRegex("PUBLISH from .*d0, q0, r0.*'garage/car/signals/"));
  EXPECT_THAT(log, ::testing::Not(HasSubstr("signals/pack_current")));
  // The broker ends and comes back: everything retained is told again.
  EndBroker();
  EXPECT_TRUE(Eventually([&] { return daemon->Log().find("lost") != std::string::npos; }));
  ::unlink(folder_.File("broker.log").c_str());
  StartBroker("allow_anonymous true\n");
  EXPECT_TRUE(Eventually([&] {
    return BrokerLog().find("'garage/car/warnings/coolant_low'") != std::string::npos;
  })) << daemon->Log();
  daemon->Signal(SIGTERM);
  EXPECT_EQ(daemon->Wait(), 0);
}

TEST_F(MqttTest, LogsInOverTls) {
  if (!HasBroker()) GTEST_SKIP() << "mosquitto is not installed (tools/packages check)";
  const std::string f = folder_.path();
  Shell("cd " + f +
        " && openssl req -x509 -newkey rsa:2048 -nodes -days 2 -subj /CN=localhost "
        "-addext subjectAltName=DNS:localhost -keyout key.pem -out cert.pem >openssl.log 2>&1");
  Shell("cd " + f +
        " && mosquitto_passwd -b -c users car right-password && "
        "printf 'right-password\\n' > right && printf 'wrong\\n' > wrong && chmod 600 right wrong");
  StartBroker("allow_anonymous false\npassword_file " + f + "/users\ncertfile " + f +
              "/cert.pem\nkeyfile " + f + "/key.pem\n");
  {
    const auto refused = StartDaemon(
        {"--mqtt-ca", f + "/cert.pem", "--mqtt-user", "car", "--mqtt-password", f + "/wrong"});
    EXPECT_TRUE(Eventually([&] { return refused->Log().find("refuses") != std::string::npos; }))
        << refused->Log();
  }
  const auto daemon = StartDaemon(
      {"--mqtt-ca", f + "/cert.pem", "--mqtt-user", "car", "--mqtt-password", f + "/right"});
  EXPECT_TRUE(Eventually([&] {
    return BrokerLog().find("'proofdrive/status'") != std::string::npos;
  })) << daemon->Log()
      << BrokerLog();
  EXPECT_THAT(daemon->Log(), ::testing::Not(HasSubstr("right-password")));
  daemon->Signal(SIGTERM);
  EXPECT_EQ(daemon->Wait(), 0);
}

TEST_F(MqttTest, APasswordFileIsForItsOwnerAlone) {
  port_ = 1883;
  const std::string path = folder_.File("password");
  std::ofstream(path) << "right\n";
  ASSERT_EQ(::chmod(path.c_str(), 0644), 0);
  const std::vector<std::string> words = {"--mqtt-user", "car", "--mqtt-password", path};
  const auto open = StartDaemon(words);
  EXPECT_EQ(open->Wait(), 2);
  EXPECT_THAT(open->Log(), HasSubstr("is open to other users of this machine: chmod 600"));
  ASSERT_EQ(::unlink(path.c_str()), 0);
  ASSERT_EQ(::mkfifo(path.c_str(), 0600), 0);
  const auto pipe = StartDaemon(words);
  EXPECT_EQ(pipe->Wait(), 2) << "a pipe that nobody writes to is not waited for";
  EXPECT_THAT(pipe->Log(), HasSubstr("is no regular file"));
}

TEST_F(MqttTest, APasswordInClearIsWarnedOf) {
  {
    Door door;
    port_ = door.port();
  }
  const std::string path = folder_.File("password");
  std::ofstream(path) << "right\n";
  ASSERT_EQ(::chmod(path.c_str(), 0600), 0);
  const auto daemon = StartDaemon({"--mqtt-user", "car", "--mqtt-password", path});
  EXPECT_TRUE(Eventually([&] {
    return daemon->Log().find("in clear, and everybody on the way") != std::string::npos;
  })) << daemon->Log();
}

// Takes the connection and says it is welcome, then never reads again.
void HangAfterWelcome(int door) {
  const int client = ::accept(door, nullptr, nullptr);
  char request[4096];
  (void)!::recv(client, request, sizeof(request), 0);
  const char welcome[] = {0x20, 0x02, 0x00, 0x00};  // CONNACK, accepted (MQTT 3.1.1 cl. 3.2)
  (void)!::send(client, welcome, sizeof(welcome), MSG_NOSIGNAL);
}

TEST_F(MqttTest, ABrokerThatHangsCostsNoFrame) {
  Door door;
  port_ = door.port();
  std::thread broker([&] { HangAfterWelcome(door.descriptor()); });
  const auto daemon = StartDaemon({"--mqtt-signals", "all", "--record", "x", "--for", "60s"});
  EXPECT_EQ(daemon->Wait(), 0);
  broker.join();
  EXPECT_THAT(daemon->Log(), HasSubstr("MQTT: publishing to localhost"));
  EXPECT_THAT(daemon->Log(), HasSubstr(" 0 lost"));
}

TEST_F(MqttTest, ABrokerThatIsNotThereCostsNoFrame) {
  {
    Door door;
    port_ = door.port();
  }
  const auto daemon = StartDaemon({"--record", "x", "--for", "20s"});
  EXPECT_EQ(daemon->Wait(), 0);
  EXPECT_THAT(daemon->Log(), HasSubstr(" 0 lost"));
  EXPECT_THAT(daemon->Log(), HasSubstr(" cannot be reached (Connection refused); trying again"));
}

}  // namespace
}  // namespace proofdrive
