// Follows what the kernel and the controller tell of one CAN channel: what is worth an event in the
// session, what the user must be told, and how the channel is now.
#pragma once

#include <array>
#include <string>
#include <vector>

#include "core/base/clock.h"
#include "core/base/counters.h"
#include "core/base/log.h"
#include "daemon/sources/can/channel_condition.h"
#include "session/model/header.h"

namespace proofdrive::daemon {

// One thread. Clock, log and counters must outlive it.
class BusWatch {
 public:
  // A disturbed bus repeats itself a thousand times a second: the first of a kind is told at once,
  // further ones as one event with their number at most so often.
  static constexpr Duration kRepeatTime = std::chrono::seconds(10);

  BusWatch(std::uint8_t channel, std::string name, const Clock& clock, Log& log,
           Counters& counters);

  // The port was opened: nothing to tell, but known from now on.
  void Opened(const LinkInfo& link, int receive_buffer, const std::string& timestamps);
  // There is nothing to open yet: `state` is "down" or "gone".
  void BeginWith(const std::string& state);
  // "up", "down", "gone", or why nothing comes, in words. A repeated state is told once.
  void SetState(const std::string& state);
  // The interface as the kernel describes it now.
  void Look(const LinkInfo& link);
  // REQUIRES: message.Is(kErrorMessage).
  void Hear(const Frame& message);
  // Frames lost by the kernel since the last call.
  void HearDrops(std::uint64_t count);
  // Time passes: tells what has been held back for long enough.
  void Tick();
  // Tells everything that has been held back: nothing more will come.
  void Flush();

  // What was worth storing since the last call, in order.
  std::vector<session::Event> TakeEvents();
  // True when the condition changed since the last call.
  bool TakeChanged();
  const ChannelCondition& condition() const { return condition_; }

 private:
  // Something that may repeat: told at once, then as a sum.
  struct Repeated {
    std::uint64_t waiting = 0;  // not told yet
    SteadyTime told{};
    bool ever = false;
    std::string text;  // of the last one
  };

  void SetBusState(const session::Event& event);
  void LookAtController(const LinkInfo& link);
  void TellFault(BusFault fault, bool at_once);
  void TellCounters();
  void Add(session::EventKind kind, const std::string& text, std::uint64_t count = 0);
  bool MayTell(const Repeated& repeated) const;

  const std::uint8_t channel_;
  const std::string name_;
  const Clock& clock_;
  Log& log_;
  Counters& counters_;
  ChannelCondition condition_;
  bool looked_ = false;
  std::array<Repeated, kBusFaultCount> repeated_;
  Repeated counters_told_;
  std::vector<session::Event> events_;
  bool changed_ = false;
};

// "500,000 bit/s, listen-only, error active": what the kernel tells of a controller.
std::string ControllerText(const LinkInfo& link);
// "tx 0 rx 136; since it came up: 12 bus errors, ...", as session::EventKind::kErrorCounters.
std::string CountersText(const LinkInfo& link);

}  // namespace proofdrive::daemon
