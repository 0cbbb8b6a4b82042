#include "decoders/services/request_round.h"

#include <algorithm>
#include <utility>

#include "decoders/services/service_names.h"

namespace proofdrive::decoders {
namespace {

bool SaysPending(const std::vector<std::uint8_t>& bytes) {
  return bytes.size() >= 3 && bytes[0] == kNegativeResponse && bytes[2] == kResponsePending;
}

bool IsFinal(const UnitAnswer& answer) { return answer.kind != AnswerKind::kPending; }

UnitAnswer* AnswerOf(Conversation& conversation, BusAddress unit) {
  for (UnitAnswer& answer : conversation.answers) {
    if (answer.message.address == unit) return &answer;
  }
  return nullptr;
}

}  // namespace

RequestRound::RequestRound(const AddressBook& book, const RoundTarget& target,
                           std::vector<std::uint8_t> request, ClockPair now, RoundLimits limits)
    : book_(book), target_(target), limits_(limits), started_(now.steady), sent_at_(now.steady) {
  conversation_.functional = IsFunctional(target.request);
  conversation_.request.channel = target.channel;
  conversation_.request.address = target.request;
  conversation_.request.bytes = std::move(request);
  conversation_.request.begun = conversation_.request.ended = now.wall;
  conversation_.request.frames = 1;
}

TransportLayout RequestRound::LayoutTo(BusAddress to) const {
  TransportLayout layout;
  layout.sent_address = to.byte;
  if (book_.IsFd(to)) layout.frame_bytes = kMaxFdLength;
  return layout;
}

Frame RequestRound::Framed(BusAddress to, const std::vector<std::uint8_t>& data) const {
  Frame frame;
  frame.channel = target_.channel;
  frame.id = to.id;
  if (to.extended) frame.flags |= kExtendedId;
  if (book_.IsFd(to)) frame.flags |= kFlexibleData | kBitRateSwitch;
  frame.length = static_cast<std::uint8_t>(data.size());
  std::copy(data.begin(), data.end(), frame.data.begin());
  return frame;
}

std::optional<Frame> RequestRound::Next(ClockPair now) {
  if (done_) return std::nullopt;
  if (!handed_out_) {
    handed_out_ = true;
    return Framed(target_.request,
                  BuildSingle(LayoutTo(target_.request), conversation_.request.bytes));
  }
  for (auto& [answer, unit] : units_) {
    const auto to = book_.RequestOf(answer);
    if (!to) continue;
    if (const auto flow = unit.receiver.Next(now.steady)) {
      granting_ = &unit;
      return Framed(*to, *flow);
    }
  }
  return std::nullopt;
}

void RequestRound::OnSent(ClockPair now) {
  if (granting_ != nullptr) {
    std::exchange(granting_, nullptr)->receiver.OnSent(now.steady);
    return;
  }
  sent_ = true;
  sent_at_ = now.steady;
  conversation_.request.begun = conversation_.request.ended = now.wall;
}

RequestRound::Unit* RequestRound::UnitOf(BusAddress answer, ClockPair now) {
  const auto known = units_.find(answer);
  if (known != units_.end()) return &known->second;
  if (units_.size() >= limits_.units) return nullptr;
  ReceiverLimits limits;
  limits.message = limits_.answer_bytes;
  TransportLayout layout = LayoutTo(book_.RequestOf(answer).value_or(target_.request));
  layout.received_address = answer.byte;
  return &units_.emplace(answer, Unit{Receiver(layout, limits), now.wall, now.steady})
              .first->second;
}

void RequestRound::OnFrame(const Frame& frame, ClockPair now) {
  const BusAddress answer = book_.AddressOf(frame);
  const bool ours = frame.Is(kRemote) || frame.Is(kErrorMessage) || frame.Is(kSentHere);
  if (done_ || !sent_ || ours || frame.channel != target_.channel) return;
  if (!book_.Carries(answer) || !book_.Pairs(target_.request, answer)) return;
  const auto pdu = ParsePdu(frame.payload(), answer.byte.has_value());
  // Another tester's requests come on identifiers that could be answers to a functional one.
  if (!pdu || pdu->kind == PduKind::kFlowControl) return;
  const bool begins = pdu->kind == PduKind::kSingle || pdu->kind == PduKind::kFirst;
  if (begins && (pdu->payload.empty() || (pdu->payload[0] & kAnswerBit) == 0)) return;
  if (begins && !AnswersTo(conversation_.request.bytes, pdu->payload)) {
    ++out_of_turn_;
    return;
  }
  Unit* unit = UnitOf(answer, now);
  if (unit == nullptr) return;
  if (begins) unit->begun = now.wall;
  unit->receiver.OnFrame(frame.payload(), now.steady);
  TakeMessages(answer, *unit, now);
}

void RequestRound::TakeMessages(BusAddress answer, Unit& unit, ClockPair now) {
  while (auto message = unit.receiver.Take()) {
    OnMessage(answer, unit, std::move(*message), now);
  }
}

void RequestRound::OnMessage(BusAddress answer, Unit& unit, ReceivedMessage message,
                             ClockPair now) {
  UnitAnswer* place = AnswerOf(conversation_, answer);
  if (place != nullptr && IsFinal(*place)) {
    ++out_of_turn_;
    return;
  }
  if (place == nullptr) place = &conversation_.answers.emplace_back();
  SeenMessage& seen = place->message;
  seen.channel = target_.channel;
  seen.address = answer;
  seen.begun = unit.begun;
  seen.ended = now.wall;
  seen.problem = message.problem;
  seen.announced = message.announced;
  seen.bytes = std::move(message.bytes);
  if (seen.problem != TransferProblem::kNone) {
    place->kind = AnswerKind::kBroken;
  } else if (SaysPending(seen.bytes)) {
    place->kind = AnswerKind::kPending;
    if (place->pending++ == 0) place->first_pending = seen.begun;
    unit.until = now.steady + limits_.after_pending;
  } else {
    place->kind = seen.bytes[0] == kNegativeResponse ? AnswerKind::kRefused : AnswerKind::kPositive;
  }
}

bool RequestRound::Waiting(SteadyTime now) const {
  if (now - started_ >= limits_.whole) return false;
  for (const auto& [answer, unit] : units_) {
    if (unit.receiver.receiving()) return true;
  }
  for (const UnitAnswer& answer : conversation_.answers) {
    const auto unit = units_.find(answer.message.address);
    const bool pending = answer.kind == AnswerKind::kPending &&
                         answer.pending < limits_.most_pending && unit != units_.end();
    if (pending && now < unit->second.until) return true;
  }
  const bool one_answered = !conversation_.functional && !conversation_.answers.empty();
  return !one_answered && now - sent_at_ < patience();
}

void RequestRound::Advance(ClockPair now) {
  if (done_) return;
  for (auto& [answer, unit] : units_) {
    unit.receiver.Advance(now.steady);
    TakeMessages(answer, unit, now);
  }
  done_ = !Waiting(now.steady);
}

SteadyTime RequestRound::deadline(SteadyTime now) const {
  SteadyTime earliest = started_ + limits_.whole;
  const auto consider = [&](SteadyTime time) {
    if (time > now) earliest = std::min(earliest, time);
  };
  consider(sent_at_ + patience());
  for (const auto& [answer, unit] : units_) {
    if (const auto due = unit.receiver.deadline()) consider(*due);
    consider(unit.until);
  }
  return earliest;
}

}  // namespace proofdrive::decoders
