#include "web/access/listen_address.h"

#include <gmock/gmock.h>

#include "tests/support/matchers.h"

namespace proofdrive::web {
namespace {

TEST(ListenAddressTest, APortAloneIsOfThisMachine) {
  for (const char* text : {"8642", "localhost:8642", "127.0.0.1:8642"}) {
    const auto address = ParseListenAddress(text);
    ASSERT_OK(address);
    EXPECT_EQ(address->Text(), "127.0.0.1:8642");
    EXPECT_TRUE(address->loopback);
  }
  EXPECT_EQ(ParseListenAddress("[::1]:1").value().Text(), "[::1]:1");
  EXPECT_TRUE(ParseListenAddress("[::1]:1").value().loopback);
}

TEST(ListenAddressTest, OthersAreNotLoopback) {
  for (const char* text : {"0.0.0.0:8642", "192.168.7.2:80", "[::]:8642", "[fe80::1]:8642"}) {
    EXPECT_FALSE(ParseListenAddress(text).value().loopback) << text;
  }
}

TEST(ListenAddressTest, RefusesWhatIsNoAddress) {
  for (const char* text : {"", ":", "x", "65536", "-1", "1.2.3.4", "1.2.3.4:", "1.2.3:80", "::1:80",
                           "[1.2.3.4]:80", "[::1]", "host:80", "127.0.0.1:8642/"}) {
    const auto address = ParseListenAddress(text);
    EXPECT_FALSE(address.ok()) << text;
  }
  EXPECT_EQ(ParseListenAddress("host:80").status().message(),
            "\"host:80\" is not where a page can be: write a port, as in 8642, or an IP address of "
            "this machine and a port, as in 192.168.7.2:8642 or [::1]:8642");
}

}  // namespace
}  // namespace proofdrive::web
