#include "decoders/services/conversations.h"

#include <algorithm>
#include <utility>

#include "decoders/services/service_names.h"

namespace proofdrive::decoders {
namespace {

bool IsAnswer(ByteSpan bytes) { return (bytes[0] & kAnswerBit) != 0; }

bool IsNegative(ByteSpan bytes) { return bytes[0] == kNegativeResponse; }

bool SaysPending(ByteSpan bytes) {
  return bytes.size() >= 3 && IsNegative(bytes) && bytes[2] == kResponsePending;
}

// How many bytes after the service an answer repeats.
std::size_t Repeated(std::uint8_t service) {
  switch (service) {
    case kReadByIdentifier:
    case 0x2E:  // WriteDataByIdentifier
    case 0x2F:  // InputOutputControlByIdentifier
      return 2;
    case kCurrentData:
    case 0x02:
    case 0x06:
    case kVehicleInformation:
      return 1;
    default:
      const ServiceInfo* info = FindService(service);
      return info != nullptr && info->has_sub_function ? 1 : 0;
  }
}

AnswerKind KindOf(const SeenMessage& message) {
  if (message.problem != TransferProblem::kNone) return AnswerKind::kBroken;
  if (SaysPending(message.bytes)) return AnswerKind::kPending;
  return IsNegative(message.bytes) ? AnswerKind::kRefused : AnswerKind::kPositive;
}

bool WantsAnswer(ByteSpan request) {
  const ServiceInfo* info = FindService(request[0]);
  const bool suppressed = info != nullptr && info->has_sub_function && request.size() > 1 &&
                          (request[1] & kSuppressPositive) != 0;
  return !suppressed;
}

}  // namespace

bool AnswersTo(ByteSpan request, ByteSpan answer) {
  if (request.empty() || answer.empty()) return false;
  if (IsNegative(answer)) return answer.size() >= 2 && answer[1] == request[0];
  if (answer[0] != request[0] + kAnswerBit) return false;
  const bool sub = Repeated(request[0]) == 1 && request[0] >= kSessionControl;
  for (std::size_t i = 1; i <= Repeated(request[0]); ++i) {
    if (i >= request.size() || i >= answer.size()) return true;
    const std::uint8_t asked =
        sub ? static_cast<std::uint8_t>(request[i] & ~kSuppressPositive) : request[i];
    if (asked != answer[i] && request[i] != answer[i]) return false;
  }
  return true;
}

bool Conversation::complete() const {
  if (request.problem != TransferProblem::kNone) return false;
  const bool all_final = std::all_of(answers.begin(), answers.end(), [](const UnitAnswer& answer) {
    return answer.kind == AnswerKind::kPositive || answer.kind == AnswerKind::kRefused;
  });
  return all_final && (!answers.empty() || !answer_expected);
}

ConversationTracker::ConversationTracker(const AddressBook& book, Visitor visit,
                                         ConversationLimits limits)
    : book_(book), visit_(std::move(visit)), limits_(limits) {}

void ConversationTracker::OnMessage(SeenMessage message) {
  CloseOld(message.begun);
  if (message.bytes.empty()) {
    ++not_understood_;
  } else if (IsAnswer(message.bytes)) {
    OnAnswer(std::move(message));
  } else {
    OnRequest(std::move(message));
  }
}

void ConversationTracker::OnRequest(SeenMessage message) {
  if (open_.size() >= limits_.open) {
    visit_(open_.front().conversation);
    open_.pop_front();
  }
  Open open;
  open.last = message.ended;
  open.conversation.functional = IsFunctional(message.address);
  open.conversation.answer_expected = WantsAnswer(message.bytes);
  open.conversation.request = std::move(message);
  open_.push_back(std::move(open));
}

namespace {

UnitAnswer* AnswerOf(Conversation& conversation, BusAddress unit) {
  for (UnitAnswer& answer : conversation.answers) {
    if (answer.message.address == unit) return &answer;
  }
  return nullptr;
}

}  // namespace

bool ConversationTracker::CanAnswer(const Conversation& conversation,
                                    const SeenMessage& message) const {
  const SeenMessage& request = conversation.request;
  return request.channel == message.channel && request.begun <= message.begun &&
         book_.Pairs(request.address, message.address) && AnswersTo(request.bytes, message.bytes);
}

// The request to which the unit said "response pending", else the newest one that it can belong to
// and that the unit has not answered.
UnitAnswer* ConversationTracker::FindPlace(const SeenMessage& message, Open*& open) {
  for (Open& candidate : open_) {
    UnitAnswer* answer = AnswerOf(candidate.conversation, message.address);
    if (answer == nullptr || answer->kind != AnswerKind::kPending) continue;
    if (!CanAnswer(candidate.conversation, message)) continue;
    open = &candidate;
    return answer;
  }
  for (auto candidate = open_.rbegin(); candidate != open_.rend(); ++candidate) {
    Conversation& conversation = candidate->conversation;
    if (!CanAnswer(conversation, message)) continue;
    if (AnswerOf(conversation, message.address) != nullptr) continue;
    if (conversation.answers.size() >= limits_.answers) continue;
    open = &*candidate;
    return &conversation.answers.emplace_back();
  }
  return nullptr;
}

void ConversationTracker::OnAnswer(SeenMessage message) {
  Open* open = nullptr;
  UnitAnswer* place = FindPlace(message, open);
  if (place == nullptr) {
    ++unasked_;
    return;
  }
  place->kind = KindOf(message);
  if (place->kind == AnswerKind::kPending) {
    if (place->pending++ == 0) place->first_pending = message.begun;
    open->last = message.ended;
  }
  place->message = std::move(message);
}

void ConversationTracker::CloseOld(WallTime now) {
  for (auto open = open_.begin(); open != open_.end();) {
    if (now - open->last <= limits_.patience) {
      ++open;
      continue;
    }
    visit_(open->conversation);
    open = open_.erase(open);
  }
}

void ConversationTracker::Finish() {
  for (const Open& open : open_) visit_(open.conversation);
  open_.clear();
}

}  // namespace proofdrive::decoders
