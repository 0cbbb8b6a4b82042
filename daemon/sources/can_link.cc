#include "daemon/sources/can_link.h"

#include <linux/can.h>
#include <linux/can/netlink.h>
#include <linux/if.h>
#include <linux/if_arp.h>
#include <linux/if_link.h>
#include <linux/netlink.h>
#include <linux/rtnetlink.h>
#include <sys/socket.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstring>

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

void ReadCanData(ByteSpan data, LinkInfo& link) {
  ForEachAttribute(data, [&](int type, ByteSpan value) {
    if (type == IFLA_CAN_BITTIMING) link.bitrate = As<can_bittiming>(value).bitrate;
    if (type == IFLA_CAN_DATA_BITTIMING) link.data_bitrate = As<can_bittiming>(value).bitrate;
    if (type == IFLA_CAN_CTRLMODE) {
      link.has_controller = true;
      link.listen_only = (As<can_ctrlmode>(value).flags & CAN_CTRLMODE_LISTENONLY) != 0;
    }
  });
}

void ReadLinkInfo(ByteSpan info, LinkInfo& link) {
  ByteSpan data;
  ForEachAttribute(info, [&](int type, ByteSpan value) {
    if (type == IFLA_INFO_KIND) {
      link.kind.assign(value.begin(), value.end());
      while (!link.kind.empty() && link.kind.back() == '\0') link.kind.pop_back();
    }
    if (type == IFLA_INFO_DATA) data = value;
  });
  if (link.kind == "can") ReadCanData(data, link);
}

LinkInfo ReadLink(ByteSpan message) {
  const auto head = As<ifinfomsg>(message);
  LinkInfo link;
  link.index = head.ifi_index;
  link.is_can = head.ifi_type == ARPHRD_CAN;
  link.up = (head.ifi_flags & IFF_UP) != 0;
  link.running = (head.ifi_flags & IFF_LOWER_UP) != 0;
  ForEachAttribute(message.subspan(NLMSG_ALIGN(sizeof(ifinfomsg))), [&](int type, ByteSpan value) {
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

Result<LinkQuestion> MakeQuestion(const std::string& interface) {
  LinkQuestion question{};
  if (interface.empty() || interface.size() >= question.name.size()) {
    return Status(ErrorKind::kNotFound, "no interface can have the name \"" + interface + "\"");
  }
  question.header.nlmsg_len = sizeof(question);
  question.header.nlmsg_type = RTM_GETLINK;
  question.header.nlmsg_flags = NLM_F_REQUEST;
  question.link.ifi_family = AF_UNSPEC;
  question.name_head.rta_type = IFLA_IFNAME;
  question.name_head.rta_len = static_cast<unsigned short>(sizeof(rtattr) + question.name.size());
  std::memcpy(question.name.data(), interface.data(), interface.size());
  return question;
}

Result<std::vector<std::uint8_t>> Ask(int descriptor, const LinkQuestion& question) {
  const timeval patience{2, 0};
  ::setsockopt(descriptor, SOL_SOCKET, SO_RCVTIMEO, &patience, sizeof(patience));
  if (::send(descriptor, &question, sizeof(question), 0) < 0) {
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

Result<LinkInfo> QueryLink(const std::string& interface) {
  ASSIGN_OR_RETURN(const LinkQuestion question, MakeQuestion(interface));
  const int descriptor = ::socket(AF_NETLINK, SOCK_RAW | SOCK_CLOEXEC, NETLINK_ROUTE);
  if (descriptor < 0) return Status::FromErrno(errno, "ask the kernel about an interface");
  const auto answer = Ask(descriptor, question);
  ::close(descriptor);
  if (!answer.ok()) return answer.status();
  return ParseLinkAnswer(*answer);
}

std::string ListenOnlyAdvice(const std::string& interface, const LinkInfo& link) {
  if (!link.has_controller || link.listen_only) return {};
  return interface +
         " is not listen-only: Proofdrive sends nothing, but the adapter still acknowledges what "
         "it "
         "hears. To take no part at all: ip link set " +
         interface + " down; ip link set " + interface + " type can listen-only on; ip link set " +
         interface + " up";
}

}  // namespace proofdrive::daemon
