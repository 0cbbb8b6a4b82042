#include "mqtt/broker_address.h"

#include <gmock/gmock.h>

#include "tests/support/matchers.h"

namespace proofdrive::mqtt {
namespace {

using testing::IsOk;

TEST(BrokerAddressTest, Brokers) {
  const auto parse = [](const std::string& text) {
    const auto broker = ParseBroker(text);
    return broker.ok() ? broker->host + " " + std::to_string(broker->port) : "refused";
  };
  EXPECT_EQ(parse("broker.local"), "broker.local 0");
  EXPECT_EQ(parse("broker:1884"), "broker 1884");
  EXPECT_EQ(parse("[::1]:1884"), "::1 1884");
  EXPECT_EQ(parse("[::1]"), "::1 0");
  for (const char* text :
       {"", ":1883", "broker:", "broker:0", "broker:65536", "mqtt://broker", "a b"}) {
    EXPECT_EQ(parse(text), "refused") << text;
  }
}

TEST(BrokerAddressTest, Prefixes) {
  EXPECT_OK(CheckTopicPrefix("garage/car 1"));
  for (const char* prefix : {"", "/a", "a/", "$SYS", "a/+/b", "a#"}) {
    EXPECT_FALSE(CheckTopicPrefix(prefix).ok()) << prefix;
  }
}

}  // namespace
}  // namespace proofdrive::mqtt
