#include "daemon/sources/can/can_link.h"

#include <linux/can.h>
#include <linux/can/netlink.h>
#include <linux/ethtool.h>
#include <linux/if.h>
#include <linux/if_arp.h>
#include <linux/if_link.h>
#include <linux/net_tstamp.h>
#include <linux/netlink.h>
#include <linux/rtnetlink.h>
#include <linux/sockios.h>
#include <sys/ioctl.h>
#include <sys/socket.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstddef>
#include <cstring>
#include <utility>
#include <vector>

#include "core/base/text.h"

namespace proofdrive::daemon {
namespace {

// One attribute after the other of a netlink message; stops at the first that does not fit.
template <class Visit>
void ForEachAttribute(ByteSpan bytes, const Visit& visit) {
  while (bytes.size() >= sizeof(rtattr)) {
    rtattr head{};
    std::memcpy(&head, bytes.data(), sizeof(head));
    if (head.rta_len < sizeof(rtattr) || head.rta_len > bytes.size()) return;
    visit(head.rta_type & NLA_TYPE_MASK,
          bytes.subspan(sizeof(rtattr), head.rta_len - sizeof(rtattr)));
    const std::size_t step = RTA_ALIGN(static_cast<std::size_t>(head.rta_len));
    if (step >= bytes.size()) return;
    bytes = bytes.subspan(step);
  }
}

// The beginning of an attribute as a kernel structure; zeros when it is too short.
template <class Struct>
Struct As(ByteSpan bytes) {
  Struct value{};
  if (bytes.size() >= sizeof(value)) std::memcpy(&value, bytes.data(), sizeof(value));
  return value;
}

// The same for structures that newer kernels have made longer: what is missing is zero.
template <class Struct>
Struct BeginningAs(ByteSpan bytes) {
  Struct value{};
  std::memcpy(&value, bytes.data(), std::min(bytes.size(), sizeof(value)));
  return value;
}

std::string TextOf(ByteSpan value) {
  std::string text(value.begin(), value.end());
  while (!text.empty() && text.back() == '\0') text.pop_back();
  return text;
}

std::string ModesText(std::uint32_t flags) {
  constexpr std::pair<std::uint32_t, const char*> kModes[] = {
      {CAN_CTRLMODE_LISTENONLY, "listen-only"},
      {CAN_CTRLMODE_LOOPBACK, "loopback"},
      {CAN_CTRLMODE_3_SAMPLES, "three samples per bit"},
      {CAN_CTRLMODE_ONE_SHOT, "one-shot"},
      {CAN_CTRLMODE_BERR_REPORTING, "bus error reporting"},
      {CAN_CTRLMODE_FD, "CAN FD"},
      {CAN_CTRLMODE_PRESUME_ACK, "presumes acknowledgement"},
      {CAN_CTRLMODE_FD_NON_ISO, "CAN FD not as in ISO 11898-1"},
  };
  std::vector<std::string> words;
  for (const auto& [flag, word] : kModes) {
    if (flags & flag) words.emplace_back(word);
  }
  return Join(words, ", ");
}

std::string StateText(std::uint32_t state) {
  constexpr const char* kStates[] = {"error active", "error warning", "error passive",
                                     "bus-off",      "stopped",       "sleeping"};
  return state < std::size(kStates) ? kStates[state] : std::string();
}

void ReadCanData(ByteSpan data, LinkInfo& link) {
  ForEachAttribute(data, [&](int type, ByteSpan value) {
    if (type == IFLA_CAN_BITTIMING) link.bitrate = As<can_bittiming>(value).bitrate;
    if (type == IFLA_CAN_DATA_BITTIMING) link.data_bitrate = As<can_bittiming>(value).bitrate;
    if (type == IFLA_CAN_RESTART_MS) link.restart_ms = As<std::uint32_t>(value);
    if (type == IFLA_CAN_STATE) link.controller_state = StateText(As<std::uint32_t>(value));
    if (type == IFLA_CAN_CTRLMODE) {
      const std::uint32_t flags = As<can_ctrlmode>(value).flags;
      link.has_controller = true;
      link.listen_only = (flags & CAN_CTRLMODE_LISTENONLY) != 0;
      link.modes = ModesText(flags);
    }
    if (type == IFLA_CAN_BERR_COUNTER) {
      const auto counter = As<can_berr_counter>(value);
      link.has_error_counters = true;
      link.transmit_errors = counter.txerr;
      link.receive_errors = counter.rxerr;
    }
  });
}

ControllerCounts CountsOf(const can_device_stats& stats) {
  ControllerCounts counts;
  counts.bus_errors = stats.bus_error;
  counts.error_warning = stats.error_warning;
  counts.error_passive = stats.error_passive;
  counts.bus_off = stats.bus_off;
  counts.lost_arbitration = stats.arbitration_lost;
  counts.restarts = stats.restarts;
  return counts;
}

void ReadLinkInfo(ByteSpan info, LinkInfo& link) {
  ByteSpan data;
  ByteSpan counts;
  ForEachAttribute(info, [&](int type, ByteSpan value) {
    if (type == IFLA_INFO_KIND) link.kind = TextOf(value);
    if (type == IFLA_INFO_DATA) data = value;
    if (type == IFLA_INFO_XSTATS) counts = value;
  });
  if (link.kind != "can") return;
  ReadCanData(data, link);
  link.counts = CountsOf(As<can_device_stats>(counts));
}

LinkInfo ReadLink(ByteSpan message) {
  const auto head = As<ifinfomsg>(message);
  LinkInfo link;
  link.index = head.ifi_index;
  link.is_can = head.ifi_type == ARPHRD_CAN;
  link.up = (head.ifi_flags & IFF_UP) != 0;
  link.running = (head.ifi_flags & IFF_LOWER_UP) != 0;
  ForEachAttribute(message.subspan(NLMSG_ALIGN(sizeof(ifinfomsg))), [&](int type, ByteSpan value) {
    if (type == IFLA_IFNAME) link.name = TextOf(value);
    if (type == IFLA_STATS64) {
      link.overruns = BeginningAs<rtnl_link_stats64>(value).rx_over_errors;
    }
    if (type == IFLA_MTU) link.flexible_data = As<std::uint32_t>(value) >= CANFD_MTU;
    if (type == IFLA_LINKINFO) ReadLinkInfo(value, link);
  });
  return link;
}

struct LinkQuestion {
  nlmsghdr header;
  ifinfomsg link;
  rtattr name_head;
  std::array<char, IFNAMSIZ> name;
};

LinkQuestion EmptyQuestion(std::size_t size) {
  LinkQuestion question{};
  question.header.nlmsg_len = static_cast<std::uint32_t>(size);
  question.header.nlmsg_type = RTM_GETLINK;
  question.header.nlmsg_flags = NLM_F_REQUEST;
  question.link.ifi_family = AF_UNSPEC;
  return question;
}

LinkQuestion QuestionAbout(int index) {
  LinkQuestion question = EmptyQuestion(offsetof(LinkQuestion, name_head));
  question.link.ifi_index = index;
  return question;
}

Result<LinkQuestion> QuestionAbout(const std::string& interface) {
  LinkQuestion question = EmptyQuestion(sizeof(question));
  if (interface.empty() || interface.size() >= question.name.size()) {
    return Status(ErrorKind::kNotFound, "no interface can have the name \"" + interface + "\"");
  }
  question.name_head.rta_type = IFLA_IFNAME;
  question.name_head.rta_len = static_cast<unsigned short>(sizeof(rtattr) + question.name.size());
  std::memcpy(question.name.data(), interface.data(), interface.size());
  return question;
}

Result<std::vector<std::uint8_t>> Ask(int descriptor, const LinkQuestion& question) {
  const timeval patience{2, 0};
  ::setsockopt(descriptor, SOL_SOCKET, SO_RCVTIMEO, &patience, sizeof(patience));
  if (::send(descriptor, &question, question.header.nlmsg_len, 0) < 0) {
    return Status::FromErrno(errno, "ask the kernel about an interface");
  }
  std::vector<std::uint8_t> answer(std::size_t{1} << 16);
  const ssize_t got = ::recv(descriptor, answer.data(), answer.size(), 0);
  if (got < 0) return Status::FromErrno(errno, "ask the kernel about an interface");
  answer.resize(static_cast<std::size_t>(got));
  return answer;
}

}  // namespace

Result<LinkInfo> ParseLinkAnswer(ByteSpan answer) {
  const auto header = As<nlmsghdr>(answer);
  const Status garbled(ErrorKind::kCorrupt, "the kernel's answer about an interface is garbled");
  if (header.nlmsg_len < NLMSG_HDRLEN || header.nlmsg_len > answer.size()) return garbled;
  const ByteSpan body = answer.subspan(NLMSG_HDRLEN, header.nlmsg_len - NLMSG_HDRLEN);
  if (header.nlmsg_type == NLMSG_ERROR && body.size() >= sizeof(int)) {
    return Status::FromErrno(-As<int>(body), "interface");
  }
  if (header.nlmsg_type != RTM_NEWLINK || body.size() < sizeof(ifinfomsg)) return garbled;
  return ReadLink(body);
}

namespace {

Result<LinkInfo> Query(const LinkQuestion& question) {
  const int descriptor = ::socket(AF_NETLINK, SOCK_RAW | SOCK_CLOEXEC, NETLINK_ROUTE);
  if (descriptor < 0) return Status::FromErrno(errno, "ask the kernel about an interface");
  const auto answer = Ask(descriptor, question);
  ::close(descriptor);
  if (!answer.ok()) return answer.status();
  return ParseLinkAnswer(*answer);
}

}  // namespace

Result<LinkInfo> QueryLink(const std::string& interface) {
  ASSIGN_OR_RETURN(const LinkQuestion question, QuestionAbout(interface));
  return Query(question);
}

Result<LinkInfo> QueryLink(int index) { return Query(QuestionAbout(index)); }

bool OffersHardwareStamps(const std::string& interface) {
  ethtool_ts_info info{};
  info.cmd = ETHTOOL_GET_TS_INFO;
  ifreq request{};
  interface.copy(request.ifr_name, sizeof(request.ifr_name) - 1);
  request.ifr_data = reinterpret_cast<char*>(&info);
  // Any socket will do for the question; a CAN socket is not involved.
  const int descriptor = ::socket(AF_UNIX, SOCK_DGRAM | SOCK_CLOEXEC, 0);
  if (descriptor < 0) return false;
  const bool told = ::ioctl(descriptor, SIOCETHTOOL, &request) == 0;
  ::close(descriptor);
  constexpr unsigned kNeeded = SOF_TIMESTAMPING_RX_HARDWARE | SOF_TIMESTAMPING_RAW_HARDWARE;
  return told && (info.so_timestamping & kNeeded) == kNeeded;
}

std::string ListenOnlyCommands(const std::string& interface) {
  return "To take no part at all: ip link set " + interface + " down; ip link set " + interface +
         " type can listen-only on; ip link set " + interface + " up";
}

std::string ListenOnlyAdvice(const std::string& interface, const LinkInfo& link) {
  if (!link.has_controller || link.listen_only) return {};
  return interface +
         " is not listen-only: Proofdrive sends nothing, but the adapter still acknowledges what "
         "it hears. " +
         ListenOnlyCommands(interface);
}

}  // namespace proofdrive::daemon
