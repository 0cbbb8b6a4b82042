// Messages made by hand after rtnetlink(7), linux/rtnetlink.h and linux/can/netlink.h.
#include "daemon/sources/can/can_link.h"

#include <gmock/gmock.h>
#include <linux/can.h>
#include <linux/can/netlink.h>
#include <linux/if.h>
#include <linux/if_arp.h>
#include <linux/if_link.h>
#include <linux/netlink.h>
#include <linux/rtnetlink.h>

#include <cerrno>
#include <cstring>

#include "daemon/sources/can/can_interface.h"
#include "tests/support/matchers.h"

namespace proofdrive::daemon {
namespace {

using testing::IsError;
using testing::IsOk;
using Bytes = std::vector<std::uint8_t>;

template <class Struct>
Bytes AsBytesOf(const Struct& value) {
  Bytes bytes(sizeof(value));
  std::memcpy(bytes.data(), &value, sizeof(value));
  return bytes;
}

void Append(Bytes& out, const Bytes& more) { out.insert(out.end(), more.begin(), more.end()); }

Bytes Attribute(int type, const Bytes& value) {
  rtattr head{};
  head.rta_type = static_cast<unsigned short>(type);
  head.rta_len = static_cast<unsigned short>(sizeof(head) + value.size());
  Bytes bytes = AsBytesOf(head);
  Append(bytes, value);
  while (bytes.size() % RTA_ALIGNTO != 0) bytes.push_back(0);
  return bytes;
}

Bytes Message(int type, const Bytes& body) {
  nlmsghdr head{};
  head.nlmsg_type = static_cast<unsigned short>(type);
  head.nlmsg_len = static_cast<unsigned>(sizeof(head) + body.size());
  Bytes bytes = AsBytesOf(head);
  Append(bytes, body);
  return bytes;
}

// With everything a controller's driver may tell.
Bytes CanLink(unsigned flags, std::uint32_t control_modes) {
  ifinfomsg link{};
  link.ifi_type = ARPHRD_CAN;
  link.ifi_index = 7;
  link.ifi_flags = flags;
  can_bittiming timing{};
  timing.bitrate = 500000;
  Bytes data = Attribute(IFLA_CAN_BITTIMING, AsBytesOf(timing));
  Append(data, Attribute(IFLA_CAN_CTRLMODE, AsBytesOf(can_ctrlmode{0, control_modes})));
  Append(data, Attribute(IFLA_CAN_STATE, AsBytesOf(std::uint32_t{CAN_STATE_ERROR_PASSIVE})));
  Append(data, Attribute(IFLA_CAN_RESTART_MS, AsBytesOf(std::uint32_t{100})));
  Append(data, Attribute(IFLA_CAN_BERR_COUNTER, AsBytesOf(can_berr_counter{3, 136})));
  Bytes info = Attribute(IFLA_INFO_KIND, {'c', 'a', 'n', 0});
  Append(info, Attribute(IFLA_INFO_DATA, data));
  // Order of struct can_device_stats: bus_error, error_warning, error_passive, bus_off,
  // arbitration_lost, restarts; figures of the example in the kernel's networking/can.rst.
  Append(info, Attribute(IFLA_INFO_XSTATS, AsBytesOf(can_device_stats{17457, 41, 42, 41, 1, 40})));
  Bytes body = AsBytesOf(link);
  Append(body, Attribute(IFLA_IFNAME, {'c', 'a', 'n', '0', 0}));
  rtnl_link_stats64 stats{};
  stats.rx_over_errors = 9;
  Append(body, Attribute(IFLA_STATS64, AsBytesOf(stats)));
  Append(body, Attribute(IFLA_MTU, AsBytesOf(std::uint32_t{CANFD_MTU})));
  Append(body, Attribute(IFLA_LINKINFO, info));
  return Message(RTM_NEWLINK, body);
}

TEST(CanLinkTest, ReadsAController) {
  const auto link = ParseLinkAnswer(CanLink(IFF_UP | IFF_LOWER_UP, CAN_CTRLMODE_LISTENONLY));
  ASSERT_OK(link);
  EXPECT_EQ(link->index, 7);
  EXPECT_TRUE(link->is_can);
  EXPECT_TRUE(link->up);
  EXPECT_TRUE(link->running);
  EXPECT_TRUE(link->flexible_data);
  EXPECT_EQ(link->kind, "can");
  EXPECT_TRUE(link->has_controller);
  EXPECT_TRUE(link->listen_only);
  EXPECT_EQ(link->bitrate, 500000u);
  EXPECT_EQ(link->data_bitrate, 0u);
  EXPECT_EQ(ListenOnlyAdvice("can0", *link), "");
  EXPECT_OK(CheckLink("can0", link));
}

TEST(CanLinkTest, ReadsStateModesAndCounters) {
  const auto link = ParseLinkAnswer(
      CanLink(IFF_UP, CAN_CTRLMODE_LISTENONLY | CAN_CTRLMODE_BERR_REPORTING | CAN_CTRLMODE_FD));
  ASSERT_OK(link);
  EXPECT_EQ(link->name, "can0");
  EXPECT_EQ(link->modes, "listen-only, bus error reporting, CAN FD");
  EXPECT_EQ(link->controller_state, "error passive");
  EXPECT_EQ(link->restart_ms, 100u);
  EXPECT_TRUE(link->has_error_counters);
  EXPECT_EQ(link->transmit_errors, 3);
  EXPECT_EQ(link->receive_errors, 136);
  EXPECT_EQ(link->counts, (ControllerCounts{17457, 41, 42, 41, 1, 40}));
  EXPECT_EQ(link->overruns, 9u);
}

TEST(CanLinkTest, AdvisesWhenTheAdapterAcknowledges) {
  const auto link = ParseLinkAnswer(CanLink(IFF_UP, CAN_CTRLMODE_FD));
  ASSERT_OK(link);
  EXPECT_FALSE(link->listen_only);
  EXPECT_EQ(ListenOnlyAdvice("can0", *link),
            "can0 is not listen-only: Proofdrive sends nothing, but the adapter still acknowledges "
            "what it hears. To take no part at all: ip link set can0 down; ip link set can0 type "
            "can listen-only on; ip link set can0 up");
}

TEST(CanLinkTest, SaysHowToBringAnInterfaceUp) {
  EXPECT_THAT(
      CheckLink("can0", ParseLinkAnswer(CanLink(0, 0))),
      IsError(ErrorKind::kUnavailable, "can0 is down. Bring it up with: ip link set can0 up"));
  LinkInfo fresh;
  fresh.is_can = true;
  fresh.has_controller = true;
  EXPECT_THAT(CheckLink("can0", fresh),
              IsError(ErrorKind::kUnavailable,
                      "can0 is down. Bring it up with: ip link set can0 type can bitrate 500000 "
                      "listen-only on (with the bus's own bit rate), then: ip link set can0 up"));
}

TEST(CanLinkTest, UnknownOrOtherInterface) {
  nlmsgerr error{};
  error.error = -ENODEV;
  EXPECT_THAT(CheckLink("can9", ParseLinkAnswer(Message(NLMSG_ERROR, AsBytesOf(error)))),
              IsError(ErrorKind::kNotFound,
                      "there is no interface \"can9\". See what there is: ip link show type can"));
  LinkInfo ethernet;
  ethernet.up = true;
  EXPECT_THAT(CheckLink("eth0", ethernet),
              IsError(ErrorKind::kInvalidArgument,
                      "eth0 is not a CAN interface. See what there is: ip link show type can"));
}

TEST(CanLinkTest, AnyPartOfAnAnswerIsHarmless) {
  const Bytes whole = CanLink(IFF_UP, 0);
  for (std::size_t size = 0; size < whole.size(); ++size) {
    const auto link = ParseLinkAnswer(ByteSpan(whole).first(size));
    EXPECT_FALSE(link.ok()) << size;
  }
  for (std::size_t at = sizeof(nlmsghdr); at < whole.size(); ++at) {
    Bytes broken = whole;
    broken[at] = 0xFF;
    (void)ParseLinkAnswer(broken);
  }
}

TEST(CanLinkTest, TheKernelKnowsTheLoopbackInterface) {
  const auto link = QueryLink("lo");
  if (!link.ok()) GTEST_SKIP() << "no rtnetlink here: " << link.status().message();
  EXPECT_FALSE(link->is_can);
  EXPECT_EQ(link->name, "lo");
  const auto by_index = QueryLink(link->index);
  ASSERT_OK(by_index);
  EXPECT_EQ(by_index->name, "lo");
  EXPECT_EQ(QueryLink(1'000'000).status().kind(), ErrorKind::kNotFound);
  EXPECT_FALSE(OffersHardwareStamps("lo"));
  EXPECT_EQ(QueryLink("no-such-if").status().kind(), ErrorKind::kNotFound);
  EXPECT_THAT(
      QueryLink("a-name-that-is-too-long"),
      IsError(ErrorKind::kNotFound, "no interface can have the name \"a-name-that-is-too-long\""));
}

TEST(SocketErrorTest, SaysWhatToDo) {
  EXPECT_THAT(SocketError("can0", EAFNOSUPPORT),
              IsError(ErrorKind::kNotFound,
                      "can0: this kernel has no CAN sockets. Load them with: modprobe can-raw"));
  EXPECT_THAT(SocketError("can0", EPERM),
              IsError(ErrorKind::kPermission,
                      "can0: no permission to open a CAN socket. Any user may on a plain "
                      "system: look for a sandbox or security policy that forbids it"));
}

}  // namespace
}  // namespace proofdrive::daemon
