// What a kind of source has to offer, and what sources are built with.
#pragma once

#include <functional>
#include <memory>
#include <string>
#include <string_view>

#include "core/base/clock.h"
#include "core/base/counters.h"
#include "core/base/files.h"
#include "core/base/log.h"
#include "daemon/sources/can/frame_sender.h"
#include "daemon/sources/frame_source.h"

namespace proofdrive::daemon {

class CanInterface;
// Makes the interface of a name for a channel.
using CanInterfaceMaker =
    std::function<std::unique_ptr<CanInterface>(const std::string& name, std::uint8_t channel)>;

// What sources are built with. Everything outlives the source.
struct SourceContext {
  Files& files;
  const Clock& clock;
  Log& log;
  Counters& counters;
  std::uint8_t first_channel = 0;  // number of the source's first channel in the session
  // An interface that is not there or down at the start is waited for; else that is an error.
  bool wait = false;
  // Where CAN interfaces come from; null: they are those of this machine.
  const CanInterfaceMaker* can_interfaces = nullptr;
};

struct SourceKind {
  std::string_view scheme;  // "bench"
  std::string_view syntax;  // "bench:SCENARIO[@SPEED]"
  std::string_view help;    // one line
  // Checks the part after the colon without touching anything; gives what makes two sources the
  // same (the interface, the file), so that nothing is recorded twice.
  Result<std::string> (*check)(const std::string& argument);
  Result<std::unique_ptr<FrameSource>> (*make)(const std::string& argument,
                                               const SourceContext& context);
  // Opens the way out for requests; null when frames of this kind of source come from no bus, or go
  // into it by Simulation::inlet.
  std::unique_ptr<FrameSender> (*make_sender)(const std::string& argument) = nullptr;
};

}  // namespace proofdrive::daemon
