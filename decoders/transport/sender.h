// Sends one message after the other by ISO 15765-2. A state machine: the caller owns the bus and
// the clock.
//
//   sender.Start(message, now);
//   loop: sender.Advance(now); while (auto data = sender.Next(now)) { send; sender.OnSent(now); }
//         received frames of the peer: sender.OnFrame(data, now); sleep until sender.deadline()
#pragma once

#include <optional>
#include <vector>

#include "core/base/result.h"
#include "decoders/transport/pdu.h"

namespace proofdrive::decoders {

struct SenderLimits {
  // N_As: from handing a frame out to OnSent; N_Bs: until a flow control comes (from memory of the
  // standard's table: 1000 ms each; Linux net/can/isotp.c waits as long).
  Duration send{std::chrono::seconds(1)};
  Duration flow_control{std::chrono::seconds(1)};
  // Most wait frames in a row. The standard sets no such limit for the sender; without one a broken
  // unit could hold us for ever.
  std::uint32_t waits = 10;
  std::size_t message = 0xFFFF;  // longest that is taken
};

enum class TransferState : std::uint8_t { kIdle, kActive, kDone, kFailed };

// Not thread-safe.
class Sender {
 public:
  explicit Sender(TransportLayout layout, SenderLimits limits = {});

  // Begins a new message; an unfinished one is dropped. kInvalidArgument when it is empty or
  // longer than SenderLimits::message.
  Status Start(std::vector<std::uint8_t> message, SteadyTime now);

  // The data of the next frame, when one is due. It must be answered by OnSent, or by nothing when
  // sending failed: then the transfer ends after SenderLimits::send.
  std::optional<std::vector<std::uint8_t>> Next(SteadyTime now);
  void OnSent(SteadyTime now);
  // A frame of the peer. What is no flow control, or comes when none is awaited, is ignored.
  void OnFrame(ByteSpan data, SteadyTime now);
  // Ends the transfer when a time limit has passed.
  void Advance(SteadyTime now);

  TransferState state() const { return state_; }
  TransferProblem problem() const { return problem_; }
  // When Advance and Next have something to do even if no frame comes; nullopt: nothing.
  std::optional<SteadyTime> deadline() const;

 private:
  enum class Step { kSendBegin, kConfirmBegin, kAwaitFlow, kSendNext, kConfirmNext };

  std::vector<std::uint8_t> Build();
  void Await(Step step, SteadyTime until);
  void Fail(TransferProblem problem);
  void OnFlowControl(const Pdu& pdu, SteadyTime now);

  const TransportLayout layout_;
  const SenderLimits limits_;
  TransferState state_ = TransferState::kIdle;
  TransferProblem problem_ = TransferProblem::kNone;
  Step step_ = Step::kSendBegin;
  SteadyTime until_{};  // of the step: a limit, or when the next frame is due
  std::vector<std::uint8_t> message_;
  std::size_t sent_ = 0;       // bytes handed out
  std::uint8_t sequence_ = 0;  // of the next consecutive frame
  bool first_flow_ = true;
  std::uint8_t block_size_ = 0;
  std::uint32_t left_in_block_ = 0;  // 0 = no limit when block_size_ is 0
  Duration separation_{0};
  std::uint32_t waits_ = 0;
};

}  // namespace proofdrive::decoders
