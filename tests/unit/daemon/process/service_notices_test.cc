// Messages of sd_notify(3), received as a service manager would.
#include "daemon/process/service_notices.h"

#include <gmock/gmock.h>
#include <stdlib.h>
#include <sys/socket.h>
#include <sys/un.h>
#include <unistd.h>

#include <array>

#include "tests/support/temp_dir.h"

namespace proofdrive::daemon {
namespace {

class ServiceNoticesTest : public ::testing::Test {
 protected:
  ServiceNoticesTest() {
    const std::string path = folder_.File("notify");
    sockaddr_un address{};
    address.sun_family = AF_UNIX;
    path.copy(address.sun_path, sizeof(address.sun_path) - 1);
    manager_ = ::socket(AF_UNIX, SOCK_DGRAM, 0);
    EXPECT_EQ(::bind(manager_, reinterpret_cast<sockaddr*>(&address), sizeof(address)), 0);
    ::setenv("NOTIFY_SOCKET", path.c_str(), 1);
  }
  ~ServiceNoticesTest() override {
    ::unsetenv("NOTIFY_SOCKET");
    ::unsetenv("WATCHDOG_USEC");
    ::unsetenv("WATCHDOG_PID");
    ::close(manager_);
  }
  std::string Received() const {
    std::array<char, 1000> text{};
    const ssize_t size = ::recv(manager_, text.data(), text.size(), MSG_DONTWAIT);
    return size > 0 ? std::string(text.data(), static_cast<std::size_t>(size)) : "nothing";
  }

  testing::TempDir folder_;
  int manager_ = -1;
  ServiceNotices notices_;
};

TEST_F(ServiceNoticesTest, TellsItsStates) {
  notices_.Ready("listening");
  EXPECT_EQ(Received(), "READY=1\nSTATUS=listening");
  notices_.Alive("recording\nx");
  EXPECT_EQ(Received(), "WATCHDOG=1\nSTATUS=recording x");
  notices_.Stopping();
  EXPECT_EQ(Received(), "STOPPING=1\nSTATUS=completing the recording");
}

TEST_F(ServiceNoticesTest, KnowsItsWatchdog) {
  EXPECT_EQ(notices_.watchdog(), std::nullopt);
  ::setenv("WATCHDOG_USEC", "60000000", 1);
  ::setenv("WATCHDOG_PID", std::to_string(::getpid()).c_str(), 1);
  EXPECT_EQ(notices_.watchdog(), std::chrono::seconds(60));
}

TEST_F(ServiceNoticesTest, WithoutAManagerNothingHappens) {
  ::unsetenv("NOTIFY_SOCKET");
  notices_.Ready("listening");
  EXPECT_EQ(Received(), "nothing");
}

}  // namespace
}  // namespace proofdrive::daemon
