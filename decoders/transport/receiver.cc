#include "decoders/transport/receiver.h"

#include <utility>

namespace proofdrive::decoders {
namespace {

// More finished messages than a caller who takes them leaves waiting.
constexpr std::size_t kKept = 64;

}  // namespace

Receiver::Receiver(TransportLayout layout, ReceiverLimits limits)
    : layout_(layout), limits_(limits) {}

void Receiver::OnFrame(ByteSpan data, SteadyTime now) {
  const auto& address = layout_.received_address;
  if (address && (data.empty() || data[0] != *address)) return;
  const auto pdu = ParsePdu(data, address.has_value());
  if (!pdu || pdu->kind == PduKind::kFlowControl) return;
  if (pdu->kind == PduKind::kConsecutive) return OnConsecutive(*pdu, now);
  OnBegin(*pdu, now);
}

void Receiver::OnBegin(const Pdu& pdu, SteadyTime now) {
  if (assembly_.active()) Finish(TransferProblem::kUnexpectedFrame);
  assembly_.Begin(pdu);
  if (pdu.kind == PduKind::kSingle) return Finish(TransferProblem::kNone);
  waits_ = 0;
  step_ = pdu.length > limits_.message ? Step::kRefuse : Step::kGrant;
  until_ = now;
}

void Receiver::OnConsecutive(const Pdu& pdu, SteadyTime now) {
  if (!assembly_.active() || step_ != Step::kAwaitFrame) return;
  switch (assembly_.Add(pdu)) {
    case Assembly::Added::kIgnored:
      return;
    case Assembly::Added::kWrongSequence:
      return Finish(TransferProblem::kWrongSequence);
    case Assembly::Added::kComplete:
      return Finish(TransferProblem::kNone);
    case Assembly::Added::kMore:
      break;
  }
  until_ = now + limits_.consecutive;
  if (limits_.block_size != 0 && --left_in_block_ == 0) {
    step_ = Step::kGrant;
    until_ = now;
  }
}

FlowStatus Receiver::Answer() const {
  if (step_ == Step::kRefuse) return FlowStatus::kOverflow;
  return ready_ ? FlowStatus::kContinue : FlowStatus::kWait;
}

std::optional<std::vector<std::uint8_t>> Receiver::Next(SteadyTime now) {
  if ((step_ != Step::kGrant && step_ != Step::kRefuse) || now < until_) return std::nullopt;
  answered_ = Answer();
  if (answered_ == FlowStatus::kWait && ++waits_ > limits_.waits) {
    Finish(TransferProblem::kTooManyWaits);
    return std::nullopt;
  }
  step_ = Step::kConfirm;
  until_ = now + limits_.send;
  return BuildFlowControl(layout_, answered_, limits_.block_size, limits_.separation);
}

void Receiver::OnSent(SteadyTime now) {
  if (step_ != Step::kConfirm) return;
  if (answered_ == FlowStatus::kOverflow) return Finish(TransferProblem::kTooLong);
  if (answered_ == FlowStatus::kWait) {
    step_ = Step::kGrant;
    until_ = now + limits_.wait;
    return;
  }
  waits_ = 0;
  left_in_block_ = limits_.block_size;
  step_ = Step::kAwaitFrame;
  until_ = now + limits_.consecutive;
}

void Receiver::Advance(SteadyTime now) {
  if (now < until_) return;
  if (step_ == Step::kAwaitFrame) Finish(TransferProblem::kFrameTimeout);
  if (step_ == Step::kConfirm) Finish(TransferProblem::kSendTimeout);
}

std::optional<ReceivedMessage> Receiver::Take() {
  if (done_.empty()) return std::nullopt;
  ReceivedMessage message = std::move(done_.front());
  done_.erase(done_.begin());
  return message;
}

std::optional<SteadyTime> Receiver::deadline() const {
  if (step_ == Step::kIdle) return std::nullopt;
  return until_;
}

void Receiver::Finish(TransferProblem problem) {
  ReceivedMessage message;
  message.problem = problem;
  message.announced = assembly_.length();
  message.bytes = assembly_.Take();
  step_ = Step::kIdle;
  if (done_.size() < kKept) done_.push_back(std::move(message));
}

}  // namespace proofdrive::decoders
