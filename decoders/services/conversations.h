// Pairs requests with their answers in the messages of a recording, whoever asked.
#pragma once

#include <deque>
#include <functional>
#include <vector>

#include "decoders/transport/passive.h"

namespace proofdrive::decoders {

// How one control unit dealt with one request. DO NOT CHANGE the numbers: sessions keep them (the
// documents of what was asked, docs/asking.md); new ones go to the end.
enum class AnswerKind : std::uint8_t {
  kPositive = 0,
  kRefused = 1,  // negative response, final
  kPending = 2,  // said "response pending" and nothing after it
  kBroken = 3,   // an answer began and did not end
};

struct UnitAnswer {
  AnswerKind kind = AnswerKind::kPending;
  SeenMessage message;  // final one; kPending: the last "response pending"; kBroken: what came
  std::uint32_t pending = 0;  // "response pending" before it
  WallTime first_pending;     // of them

  // Code of a negative response; REQUIRES kRefused or kPending.
  std::uint8_t refusal() const {
    return message.bytes.size() > 2 ? message.bytes[2] : std::uint8_t{0};
  }
};

// One request and what came of it.
struct Conversation {
  SeenMessage request;
  bool functional = false;          // asked of every unit
  bool answer_expected = true;      // false: the request says that only refusals are to be answered
  std::vector<UnitAnswer> answers;  // one per unit, in order of their first frames

  // Every unit that began to answer has finished, and somebody answered who was expected to.
  bool complete() const;
};

// Times of an onlooker, generous: what counts is whether the answer came at all.
struct ConversationLimits {
  // Until the first answer, and after a "response pending" (P2* of ISO 14229-2, 5000 ms).
  Duration patience{std::chrono::seconds(5)};
  std::size_t open = 256;     // conversations followed at once
  std::size_t answers = 512;  // units per conversation
};

// Not thread-safe. Room: `open` conversations of `answers` answers.
class ConversationTracker {
 public:
  using Visitor = std::function<void(const Conversation&)>;

  // `visit` is called within OnMessage and Finish when nothing more is expected. `book` must
  // outlive the tracker.
  ConversationTracker(const AddressBook& book, Visitor visit, ConversationLimits limits = {});

  // Messages in order of their ends.
  void OnMessage(SeenMessage message);
  void Finish();

  // Answers to which no request was seen.
  std::uint64_t unasked() const { return unasked_; }
  // Messages that are neither request nor answer: too short, or a broken request.
  std::uint64_t not_understood() const { return not_understood_; }

 private:
  struct Open {
    Conversation conversation;
    WallTime last;  // request, or newest "response pending"
  };

  void OnRequest(SeenMessage message);
  void OnAnswer(SeenMessage message);
  UnitAnswer* FindPlace(const SeenMessage& message, Open*& open);
  bool CanAnswer(const Conversation& conversation, const SeenMessage& message) const;
  void CloseOld(WallTime now);

  const AddressBook& book_;
  const Visitor visit_;
  const ConversationLimits limits_;
  std::deque<Open> open_;  // in order of requests
  std::uint64_t unasked_ = 0;
  std::uint64_t not_understood_ = 0;
};

// Whether `answer` (perhaps only its beginning) can be one to `request`: its service, and what of
// sub-function, identifier or parameter it repeats.
bool AnswersTo(ByteSpan request, ByteSpan answer);

}  // namespace proofdrive::decoders
