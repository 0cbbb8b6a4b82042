// Asks control units over the buses: one request at a time, with every answer to it. Blocks the
// thread that asks; frames come in from the sources' threads.
#pragma once

#include <condition_variable>
#include <deque>
#include <mutex>
#include <span>
#include <vector>

#include "core/base/clock.h"
#include "core/base/log.h"
#include "daemon/asking/request_gate.h"
#include "daemon/process/stop_flag.h"
#include "decoders/services/request_round.h"

namespace proofdrive::daemon {

class Asker {
 public:
  // All must outlive the asker.
  Asker(RequestGate& gate, const decoders::AddressBook& book, const Clock& clock)
      : gate_(gate), book_(book), clock_(clock) {}

  // Frames as they arrive; those that cannot be answers are passed over. Any thread, never waits.
  void OnFrames(std::span<const Frame> frames);

  // REQUIRES: one thread. Waits for its turn by the gate's rate and for the answers; at most half a
  // minute. The error says why the request could not be sent; no answer is no error.
  Result<decoders::Conversation> Ask(const decoders::RoundTarget& target,
                                     const std::vector<std::uint8_t>& request,
                                     decoders::Permission permission);
  // Ends a wait under way and all later ones: kCancelled.
  void Cancel();

  std::uint64_t out_of_turn() const { return out_of_turn_; }

 private:
  // Enough for the answers of a full bus between two looks.
  static constexpr std::size_t kInbox = 8192;

  Status SendDue(decoders::RequestRound& round, decoders::Permission permission);
  void WaitUntil(SteadyTime time);
  std::deque<Frame> TakeFrames();
  bool cancelled();

  RequestGate& gate_;
  const decoders::AddressBook& book_;
  const Clock& clock_;
  std::mutex mutex_;
  std::condition_variable arrived_;
  std::deque<Frame> inbox_;
  bool asking_ = false;
  bool cancelled_ = false;
  std::uint64_t out_of_turn_ = 0;
};

}  // namespace proofdrive::daemon
