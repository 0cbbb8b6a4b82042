// The only way out of the daemon: lets allowed requests through, and not too many of them.
#pragma once

#include <map>
#include <memory>
#include <vector>

#include "daemon/sources/can/frame_sender.h"
#include "decoders/services/allowed.h"
#include "decoders/transport/addresses.h"

namespace proofdrive::daemon {

// Not thread-safe.
class RequestGate {
 public:
  // Requests per second, in the mean and at once. Flow controls are not counted: they answer.
  static constexpr double kRate = 20;
  static constexpr double kBurst = 10;

  // `sender` for every channel from `first` on, `count` of them.
  void Add(std::uint8_t first, std::size_t count, const std::shared_ptr<FrameSender>& sender);
  std::vector<std::uint8_t> channels() const;

  // `to`: where the frame goes, with its address byte where it has one.
  // kInvalidArgument: it must not be sent, or there is no way to that channel; kBusy: too early,
  // see ReadyAt; else the sender's status.
  Status Send(const Frame& frame, decoders::BusAddress to, decoders::Permission permission,
              SteadyTime now);
  // When the next request may go out.
  SteadyTime ReadyAt(SteadyTime now) const;
  std::uint64_t sent() const { return sent_; }

 private:
  double TokensAt(SteadyTime now) const;

  std::map<std::uint8_t, std::shared_ptr<FrameSender>> senders_;
  double tokens_ = kBurst;
  SteadyTime counted_{};
  std::uint64_t sent_ = 0;
};

}  // namespace proofdrive::daemon
