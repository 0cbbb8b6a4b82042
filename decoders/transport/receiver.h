// Receives messages by ISO 15765-2 and grants the sender its blocks. A state machine: the caller
// owns the bus and the clock, as for Sender.
#pragma once

#include <optional>
#include <vector>

#include "decoders/transport/assembly.h"

namespace proofdrive::decoders {

struct ReceiverLimits {
  std::uint8_t block_size = 0;  // consecutive frames per flow control; 0: all at once
  std::uint8_t separation = 0;  // STmin as sent
  // N_Ar, N_Cr: 1000 ms each (from memory of the standard's table; Linux net/can/isotp.c waits as
  // long for a consecutive frame).
  Duration send{std::chrono::seconds(1)};
  Duration consecutive{std::chrono::seconds(1)};
  // While not ready: one wait frame per `wait`, at most `waits` (N_WFTmax).
  Duration wait{std::chrono::milliseconds(400)};
  std::uint32_t waits = 0;
  std::size_t message = 0xFFFF;  // longest that is taken; more is answered with an overflow
};

// A message, or what became of it.
struct ReceivedMessage {
  TransferProblem problem = TransferProblem::kNone;
  std::vector<std::uint8_t> bytes;  // whole when problem is kNone, else what had arrived
  std::uint32_t announced = 0;      // its length as the sender said
};

// Not thread-safe.
class Receiver {
 public:
  explicit Receiver(TransportLayout layout, ReceiverLimits limits = {});

  void OnFrame(ByteSpan data, SteadyTime now);
  // A flow control to be sent, when one is due; then OnSent, as for Sender.
  std::optional<std::vector<std::uint8_t>> Next(SteadyTime now);
  void OnSent(SteadyTime now);
  void Advance(SteadyTime now);
  // The oldest message or problem that nobody has taken yet.
  std::optional<ReceivedMessage> Take();

  // False: the next block is held back with wait frames until it is true again. Initially true.
  void SetReady(bool ready) { ready_ = ready; }
  bool receiving() const { return assembly_.active(); }
  std::optional<SteadyTime> deadline() const;

 private:
  enum class Step { kIdle, kGrant, kRefuse, kConfirm, kAwaitFrame };

  void OnBegin(const Pdu& pdu, SteadyTime now);
  void OnConsecutive(const Pdu& pdu, SteadyTime now);
  void Finish(TransferProblem problem);
  FlowStatus Answer() const;

  const TransportLayout layout_;
  const ReceiverLimits limits_;
  Assembly assembly_;
  Step step_ = Step::kIdle;
  SteadyTime until_{};
  FlowStatus answered_ = FlowStatus::kContinue;
  std::uint32_t left_in_block_ = 0;
  std::uint32_t waits_ = 0;
  bool ready_ = true;
  std::vector<ReceivedMessage> done_;  // at most kKept, the oldest first
};

}  // namespace proofdrive::decoders
