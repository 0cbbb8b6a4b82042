#include "decoders/transport/sender.h"

#include <utility>

#include "core/base/text.h"

namespace proofdrive::decoders {

Sender::Sender(TransportLayout layout, SenderLimits limits) : layout_(layout), limits_(limits) {}

Status Sender::Start(std::vector<std::uint8_t> message, SteadyTime now) {
  if (message.empty() || message.size() > limits_.message) {
    return Status(ErrorKind::kInvalidArgument,
                  "a message of " + CountOf(message.size(), "byte") + " cannot be sent");
  }
  message_ = std::move(message);
  sent_ = 0;
  sequence_ = 1;
  first_flow_ = true;
  waits_ = 0;
  separation_ = Duration(0);
  state_ = TransferState::kActive;
  problem_ = TransferProblem::kNone;
  Await(Step::kSendBegin, now);
  return Status::Ok();
}

std::vector<std::uint8_t> Sender::Build() {
  const ByteSpan rest = ByteSpan(message_).subspan(sent_);
  std::size_t taken = rest.size();
  std::vector<std::uint8_t> data;
  if (sent_ > 0) {
    data = BuildConsecutive(layout_, sequence_, rest, taken);
    sequence_ = (sequence_ + 1) & 0xF;
  } else if (message_.size() <= LargestSingle(layout_)) {
    data = BuildSingle(layout_, rest);
  } else {
    data = BuildFirst(layout_, rest, taken);
  }
  sent_ += taken;
  return data;
}

std::optional<std::vector<std::uint8_t>> Sender::Next(SteadyTime now) {
  if (state_ != TransferState::kActive) return std::nullopt;
  if (step_ != Step::kSendBegin && (step_ != Step::kSendNext || now < until_)) return std::nullopt;
  const bool begin = step_ == Step::kSendBegin;
  auto data = Build();
  Await(begin ? Step::kConfirmBegin : Step::kConfirmNext, now + limits_.send);
  return data;
}

void Sender::OnSent(SteadyTime now) {
  if (state_ != TransferState::kActive) return;
  if (step_ != Step::kConfirmBegin && step_ != Step::kConfirmNext) return;
  if (sent_ == message_.size()) {
    state_ = TransferState::kDone;
    return;
  }
  const bool block_ends =
      step_ == Step::kConfirmBegin || (block_size_ != 0 && --left_in_block_ == 0);
  if (block_ends) {
    Await(Step::kAwaitFlow, now + limits_.flow_control);
  } else {
    Await(Step::kSendNext, now + separation_);
  }
}

void Sender::OnFrame(ByteSpan data, SteadyTime now) {
  if (state_ != TransferState::kActive || step_ != Step::kAwaitFlow) return;
  const auto& address = layout_.received_address;
  if (address && (data.empty() || data[0] != *address)) return;
  const auto pdu = ParsePdu(data, address.has_value());
  if (pdu && pdu->kind == PduKind::kFlowControl) OnFlowControl(*pdu, now);
}

void Sender::OnFlowControl(const Pdu& pdu, SteadyTime now) {
  if (pdu.flow > static_cast<std::uint8_t>(FlowStatus::kOverflow)) {
    return Fail(TransferProblem::kInvalidFlowStatus);
  }
  switch (static_cast<FlowStatus>(pdu.flow)) {
    case FlowStatus::kOverflow:
      return Fail(TransferProblem::kOverflow);
    case FlowStatus::kWait:
      if (++waits_ > limits_.waits) return Fail(TransferProblem::kTooManyWaits);
      return Await(Step::kAwaitFlow, now + limits_.flow_control);
    case FlowStatus::kContinue:
      break;
  }
  waits_ = 0;
  if (first_flow_) {  // those of the first flow control hold for the whole message
    first_flow_ = false;
    block_size_ = pdu.block_size;
    separation_ = SeparationTime(pdu.separation);
  }
  left_in_block_ = block_size_;
  Await(Step::kSendNext, now);
}

void Sender::Advance(SteadyTime now) {
  if (state_ != TransferState::kActive || now < until_) return;
  if (step_ == Step::kAwaitFlow) Fail(TransferProblem::kFlowControlTimeout);
  if (step_ == Step::kConfirmBegin || step_ == Step::kConfirmNext) {
    Fail(TransferProblem::kSendTimeout);
  }
}

std::optional<SteadyTime> Sender::deadline() const {
  if (state_ != TransferState::kActive) return std::nullopt;
  return until_;
}

void Sender::Await(Step step, SteadyTime until) {
  step_ = step;
  until_ = until;
}

void Sender::Fail(TransferProblem problem) {
  state_ = TransferState::kFailed;
  problem_ = problem;
}

}  // namespace proofdrive::decoders
