// socketcan:IFACE[=BUS]: a CAN interface of this machine as a source. It only listens.
#pragma once

#include <memory>
#include <string>

#include "daemon/sources/can/can_interface.h"
#include "daemon/sources/source_kind.h"

namespace proofdrive::daemon {

// Source-table functions.
Result<std::string> CheckSocketCanArgument(const std::string& argument);
// Fails when the interface cannot be listened to now, with the command that mends it. Once running,
// an interface that goes down or away is waited for.
Result<std::unique_ptr<FrameSource>> MakeSocketCanSource(const std::string& argument,
                                                         const SourceContext& context);

// The same on an interface made elsewhere. `name` and `bus` of the channel.
Result<std::unique_ptr<FrameSource>> MakeSourceOn(std::unique_ptr<CanInterface> interface,
                                                  const std::string& name, const std::string& bus,
                                                  const SourceContext& context);

}  // namespace proofdrive::daemon
