// One request to one control unit or to all of them, and every answer to it: a state machine driven
// by a clock. Keeps the waiting times of ISO 14229-2, grants long answers their blocks, several at
// once, and cannot be held up for ever by a unit that misbehaves.
#pragma once

#include <map>
#include <optional>
#include <vector>

#include "core/base/clock.h"
#include "decoders/services/conversations.h"
#include "decoders/transport/receiver.h"

namespace proofdrive::decoders {

struct RoundLimits {
  // Until the first answer of a unit: P2 of ISO 14229-2 is 50 ms; the rest is for gateways and for
  // this machine.
  Duration patience{std::chrono::seconds(1)};
  // The same for a question to all, which always waits so long, because more may answer.
  Duration patience_all{std::chrono::milliseconds(300)};
  // After each "response pending" (P2*, 5000 ms).
  Duration after_pending{std::chrono::milliseconds(5500)};
  std::uint32_t most_pending = 30;           // then the unit is given up
  Duration whole{std::chrono::seconds(30)};  // at the latest
  std::size_t answer_bytes = 0xFFFF;
  std::size_t units = 64;  // that may answer
};

struct RoundTarget {
  std::uint8_t channel = 0;
  BusAddress request;  // as the book has it: with its address byte where there is one
};

// Not thread-safe.
class RequestRound {
 public:
  // `book` must outlive the round. REQUIRES: 1 to 7 bytes, to an address with a byte 1 to 6.
  RequestRound(const AddressBook& book, const RoundTarget& target,
               std::vector<std::uint8_t> request, ClockPair now, RoundLimits limits = {});

  // The next frame to send: the request, then flow controls. Then OnSent.
  std::optional<Frame> Next(ClockPair now);
  void OnSent(ClockPair now);
  void OnFrame(const Frame& frame, ClockPair now);
  void Advance(ClockPair now);

  bool done() const { return done_; }
  // When Advance has something to do even if no frame comes; after `now`.
  SteadyTime deadline(SteadyTime now) const;
  // What came of it; complete when done().
  const Conversation& conversation() const { return conversation_; }
  // Answers that belong to no part of this request: late ones to earlier requests, or unasked.
  std::uint64_t out_of_turn() const { return out_of_turn_; }

 private:
  struct Unit {
    Receiver receiver;
    WallTime begun;
    SteadyTime until;  // for the next word of a unit that is pending
  };

  Unit* UnitOf(BusAddress answer, ClockPair now);
  void TakeMessages(BusAddress answer, Unit& unit, ClockPair now);
  void OnMessage(BusAddress answer, Unit& unit, ReceivedMessage message, ClockPair now);
  bool Waiting(SteadyTime now) const;
  Duration patience() const {
    return conversation_.functional ? limits_.patience_all : limits_.patience;
  }
  TransportLayout LayoutTo(BusAddress to) const;
  Frame Framed(BusAddress to, const std::vector<std::uint8_t>& data) const;

  const AddressBook& book_;
  const RoundTarget target_;
  const RoundLimits limits_;
  Conversation conversation_;
  std::map<BusAddress, Unit> units_;
  bool sent_ = false;
  bool handed_out_ = false;
  Unit* granting_ = nullptr;
  bool done_ = false;
  SteadyTime started_;
  SteadyTime sent_at_;
  std::uint64_t out_of_turn_ = 0;
};

}  // namespace proofdrive::decoders
