// Finds the ISO 15765-2 messages in recorded traffic, whoever sent them. An onlooker: it sends
// nothing and cannot tell a lost frame from one that was never sent.
#pragma once

#include <functional>
#include <map>
#include <vector>

#include "decoders/transport/addresses.h"
#include "decoders/transport/assembly.h"

namespace proofdrive::decoders {

// One message as it was seen, whole or broken off.
struct SeenMessage {
  std::uint8_t channel = 0;
  BusAddress address;
  WallTime begun;
  WallTime ended;  // of its last frame that was seen
  TransferProblem problem = TransferProblem::kNone;
  std::vector<std::uint8_t> bytes;  // what was seen of it; whole when problem is kNone
  std::uint32_t announced = 0;      // its length as the sender said
  std::uint32_t frames = 0;         // that carried it
};

struct PassiveLimits {
  // Without any frame for this long, neither of the message nor flow control, a message counts as
  // broken off (twice the standard's 1000 ms, from memory: an onlooker's times are later).
  Duration silence{std::chrono::seconds(2)};
  std::size_t message = std::size_t{1} << 17;  // bytes kept of one message
  std::size_t open = 256;                      // messages followed at once
};

// Room: at most PassiveLimits::open messages of PassiveLimits::message bytes, and only for bytes
// that came. Not thread-safe.
class PassiveReassembler {
 public:
  using Visitor = std::function<void(SeenMessage)>;

  // `visit` is called within OnFrame and Finish, in order of the ends of messages.
  PassiveReassembler(AddressBook book, Visitor visit, PassiveLimits limits = {});

  // Frames in order of arrival. Remote frames, error messages and identifiers that carry no
  // requests are passed over.
  void OnFrame(const Frame& frame);
  // The recording ends here: what is open is reported as broken off.
  void Finish();

  const AddressBook& book() const { return book_; }
  // Frames on identifiers of requests and answers that are no frame of ISO 15765-2, or continue a
  // message whose beginning was not seen.
  std::uint64_t stray_frames() const { return stray_; }

 private:
  struct Key {
    std::uint8_t channel = 0;
    BusAddress address;
    friend auto operator<=>(const Key&, const Key&) = default;
  };
  struct Open {
    Assembly assembly;
    WallTime begun;
    WallTime last;   // frame of the message
    WallTime heard;  // that, or a flow control for it
    std::uint32_t frames = 0;
  };
  using OpenMessages = std::map<Key, Open>;

  void OnBegin(const Key& key, const Pdu& pdu, WallTime time);
  void OnConsecutive(const Key& key, const Pdu& pdu, WallTime time);
  void OnFlowControl(const Key& key, const Pdu& pdu, WallTime time);
  OpenMessages::iterator End(OpenMessages::iterator open, TransferProblem problem);
  void EndSilent(WallTime now);
  void MakeRoom();

  const AddressBook book_;
  const Visitor visit_;
  const PassiveLimits limits_;
  OpenMessages open_;
  std::uint64_t stray_ = 0;
};

}  // namespace proofdrive::decoders
