#include "decoders/transport/passive.h"

#include <algorithm>
#include <utility>

namespace proofdrive::decoders {

PassiveReassembler::PassiveReassembler(AddressBook book, Visitor visit, PassiveLimits limits)
    : book_(std::move(book)), visit_(std::move(visit)), limits_(limits) {}

void PassiveReassembler::OnFrame(const Frame& frame) {
  if (frame.Is(kRemote) || frame.Is(kErrorMessage)) return;
  const Key key{frame.channel, book_.AddressOf(frame)};
  if (!book_.Carries(key.address)) return;
  EndSilent(frame.time);
  const auto pdu = ParsePdu(frame.payload(), key.address.byte.has_value());
  if (!pdu) {
    ++stray_;
    return;
  }
  switch (pdu->kind) {
    case PduKind::kSingle:
    case PduKind::kFirst:
      return OnBegin(key, *pdu, frame.time);
    case PduKind::kConsecutive:
      return OnConsecutive(key, *pdu, frame.time);
    case PduKind::kFlowControl:
      return OnFlowControl(key, *pdu, frame.time);
  }
}

void PassiveReassembler::OnBegin(const Key& key, const Pdu& pdu, WallTime time) {
  const auto before = open_.find(key);
  if (before != open_.end()) End(before, TransferProblem::kUnexpectedFrame);
  if (open_.size() >= limits_.open) MakeRoom();
  Open& open = open_[key];
  open.assembly.Begin(pdu);
  open.begun = open.last = open.heard = time;
  open.frames = 1;
  if (pdu.kind == PduKind::kSingle) {
    End(open_.find(key), TransferProblem::kNone);
  } else if (pdu.length > limits_.message) {
    End(open_.find(key), TransferProblem::kTooLong);
  }
}

void PassiveReassembler::OnConsecutive(const Key& key, const Pdu& pdu, WallTime time) {
  const auto found = open_.find(key);
  if (found == open_.end()) {
    ++stray_;
    return;
  }
  Open& open = found->second;
  const Assembly::Added added = open.assembly.Add(pdu);
  if (added == Assembly::Added::kIgnored) {
    ++stray_;
    return;
  }
  if (added == Assembly::Added::kWrongSequence) {
    End(found, TransferProblem::kWrongSequence);
    return;
  }
  open.last = open.heard = time;
  ++open.frames;
  if (added == Assembly::Added::kComplete) End(found, TransferProblem::kNone);
}

void PassiveReassembler::OnFlowControl(const Key& key, const Pdu& pdu, WallTime time) {
  for (auto open = open_.begin(); open != open_.end();) {
    const BusAddress sender = open->first.address;
    const bool for_it = open->first.channel == key.channel &&
                        (book_.Pairs(key.address, sender) || book_.Pairs(sender, key.address));
    if (for_it && pdu.flow == static_cast<std::uint8_t>(FlowStatus::kOverflow)) {
      open = End(open, TransferProblem::kOverflow);
      continue;
    }
    if (for_it) open->second.heard = time;
    ++open;
  }
}

PassiveReassembler::OpenMessages::iterator PassiveReassembler::End(OpenMessages::iterator open,
                                                                   TransferProblem problem) {
  SeenMessage message;
  message.channel = open->first.channel;
  message.address = open->first.address;
  message.begun = open->second.begun;
  message.ended = open->second.last;
  message.problem = problem;
  message.announced = open->second.assembly.length();
  message.bytes = open->second.assembly.Take();
  message.frames = open->second.frames;
  const auto next = open_.erase(open);
  visit_(std::move(message));
  return next;
}

void PassiveReassembler::EndSilent(WallTime now) {
  for (auto open = open_.begin(); open != open_.end();) {
    const bool silent = now - open->second.heard > limits_.silence;
    open = silent ? End(open, TransferProblem::kFrameTimeout) : std::next(open);
  }
}

void PassiveReassembler::MakeRoom() {
  const auto oldest = std::min_element(
      open_.begin(), open_.end(),
      [](const auto& a, const auto& b) { return a.second.heard < b.second.heard; });
  if (oldest != open_.end()) End(oldest, TransferProblem::kCrowded);
}

void PassiveReassembler::Finish() {
  while (!open_.empty()) End(open_.begin(), TransferProblem::kEndOfRecording);
}

}  // namespace proofdrive::decoders
