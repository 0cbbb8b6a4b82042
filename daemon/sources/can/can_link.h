// What the kernel says about a network interface, asked by rtnetlink(7). Questions go to the kernel
// over a netlink socket of their own; a CAN socket is not involved.
#pragma once

#include <string>

#include "core/base/bytes.h"
#include "core/base/result.h"
#include "daemon/sources/can/link_info.h"

namespace proofdrive::daemon {

// kNotFound when there is no interface of that name, or of that index.
Result<LinkInfo> QueryLink(const std::string& interface);
Result<LinkInfo> QueryLink(int index);

// The answer (RTM_NEWLINK or an error message) as it came from the kernel. kNotFound as above;
// kCorrupt when it is neither.
Result<LinkInfo> ParseLinkAnswer(ByteSpan answer);

// Whether the driver says that its hardware stamps received frames (ethtool time stamping
// information, Linux networking/timestamping.rst). Asking changes nothing.
bool OffersHardwareStamps(const std::string& interface);

// "can0 is not listen-only..." with the commands that change it; empty when there is nothing to
// say.
std::string ListenOnlyAdvice(const std::string& interface, const LinkInfo& link);
// The commands alone.
std::string ListenOnlyCommands(const std::string& interface);

}  // namespace proofdrive::daemon
