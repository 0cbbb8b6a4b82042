#include "analysis/asking/code_rounds.h"

#include <algorithm>

#include "decoders/services/service_names.h"

namespace proofdrive::analysis {
namespace {

using decoders::CodeReport;
using decoders::TroubleCode;

bool IsObdList(std::uint8_t service) {
  return service == decoders::kStoredCodes || service == decoders::kPendingCodes ||
         service == decoders::kPermanentCodes;
}

// Questions whose silence says that nobody tells about codes there.
bool ConcernsCodes(ByteSpan request) {
  if (request.empty()) return false;
  return request[0] == decoders::kCodeInformation || request[0] == decoders::kTesterPresent ||
         IsObdList(request[0]);
}

// Null when the round has too many.
CodeState* StateOf(CodeRound& round, const TroubleCode& code) {
  const auto known = round.codes.find(code);
  if (known != round.codes.end()) return &known->second;
  return round.codes.size() < CodeRecorder::kMostCodes ? &round.codes[code] : nullptr;
}

bool& FlagOf(CodeState& state, std::uint8_t service) {
  if (service == decoders::kPendingCodes) return state.pending;
  return service == decoders::kPermanentCodes ? state.permanent : state.stored;
}

// Questions whose answers say something about codes.
bool TellsOfCodes(ByteSpan request) {
  if (request.empty()) return false;
  return request[0] == decoders::kCodeInformation || IsObdList(request[0]) ||
         request[0] == decoders::kClearInformation ||
         (request[0] == decoders::kCurrentData && request.size() > 1 && request[1] == 0x01);
}

// SAE J1979 lists a code without its failure type: the same fault when the unit reports it with one
// by ISO 14229-1, too.
void MergePlainCodes(CodeRound& round) {
  for (auto plain = round.codes.begin(); plain != round.codes.end();) {
    bool merged = false;
    for (auto& [code, state] : round.codes) {
      if (plain->first.failure_type || !code.failure_type || code.code != plain->first.code) {
        continue;
      }
      merged = true;
      state.stored |= plain->second.stored;
      state.pending |= plain->second.pending;
      state.permanent |= plain->second.permanent;
    }
    plain = merged ? round.codes.erase(plain) : std::next(plain);
  }
}

bool SaysTheSame(const CodeRound& a, const CodeRound& b) {
  return a.obd_lists == b.obd_lists && a.by_mask == b.by_mask && a.supported == b.supported &&
         a.available == b.available && a.asked_for == b.asked_for && a.codes == b.codes;
}

void AddCodeList(CodeRound& round, ByteSpan request, ByteSpan answer) {
  const auto list = decoders::ParseCodeList(answer);
  if (!list.ok()) return;
  const bool all = answer[1] == static_cast<std::uint8_t>(CodeReport::kSupported);
  round.available = list->available;
  round.supported |= all;
  if (!all) {
    round.by_mask = true;
    const std::uint8_t mask = request.size() > 2 ? request[2] : std::uint8_t{0};
    round.asked_for = static_cast<std::uint8_t>(round.asked_for | mask);
  }
  for (const decoders::CodeWithStatus& entry : list->codes) {
    if (CodeState* state = StateOf(round, entry.code)) {
      state->status = entry.status & list->available;
    }
  }
}

void AddCodeRecord(CodeRound& round, ByteSpan answer) {
  const auto record = decoders::ParseCodeRecord(answer);
  if (!record.ok()) return;
  if (CodeState* state = StateOf(round, record->code)) state->status = record->status;
}

void AddObdList(CodeRound& round, std::uint8_t service, const decoders::ObdCodeList& list) {
  round.obd_lists.insert(service);
  for (const TroubleCode& code : list.codes) {
    if (CodeState* state = StateOf(round, code)) FlagOf(*state, service) = true;
  }
}

}  // namespace

bool CodeState::IsSet() const {
  constexpr std::uint8_t kSet = decoders::kTestFailed | decoders::kTestFailedThisCycle |
                                decoders::kPending | decoders::kConfirmed |
                                decoders::kIndicatorRequested;
  return stored || pending || permanent || (status && (*status & kSet) != 0);
}

void CodeRecorder::CountAsked(const decoders::Conversation& conversation) {
  const decoders::SeenMessage& request = conversation.request;
  if (!conversation.answer_expected || !ConcernsCodes(request.bytes)) return;
  if (conversation.functional) {
    if (request.bytes[0] != decoders::kTesterPresent) asked_all_.insert(request.channel);
    return;
  }
  AskedAddress& asked = asked_[{request.channel, request.address}];
  ++asked.asked;
  if (conversation.answers.empty()) {
    asked.last_unanswered = request.begun;
  } else {
    ++asked.answered;
    asked.last_answered = request.begun;
  }
}

// Null when there are too many.
CodeRecorder::Unit* CodeRecorder::UnitOf(const decoders::SeenMessage& answer) {
  const Key key{answer.channel, answer.address};
  if (!units_.contains(key) && units_.size() >= kMostUnits) return nullptr;
  Unit& unit = units_[key];
  unit.record.channel = answer.channel;
  unit.record.answer = answer.address;
  unit.record.request = book_.RequestOf(answer.address);
  return &unit;
}

void CodeRecorder::Close(Unit& unit) {
  unit.lists.clear();
  if (!unit.open) return;
  CodeRound round = *std::exchange(unit.open, std::nullopt);
  if (!round.HasLists()) return;
  MergePlainCodes(round);
  std::vector<CodeRound>& rounds = unit.record.rounds;
  if (!rounds.empty() && SaysTheSame(rounds.back(), round)) {
    rounds.back().to = round.to;
    if (round.monitors) rounds.back().monitors = round.monitors;
  } else if (rounds.size() < kMostRounds) {
    rounds.push_back(std::move(round));
  } else {
    rounds.back() = std::move(round);
  }
}

// `list`: the request, when it asks for a list; empty for what only adds to a round.
CodeRound& CodeRecorder::RoundFor(Unit& unit, ByteSpan list, WallTime at) {
  const std::vector<std::uint8_t> asked(list.begin(), list.end());
  const bool over = unit.open && (at - unit.open->to > kRoundGap || unit.lists.contains(asked));
  if (over) Close(unit);
  if (!unit.open) {
    unit.open.emplace();
    unit.open->from = at;
  }
  if (!asked.empty()) unit.lists.insert(asked);
  unit.open->to = at;
  return *unit.open;
}

void CodeRecorder::AddPositive(Unit& unit, ByteSpan request, const decoders::SeenMessage& message) {
  const ByteSpan answer = message.bytes;
  const auto service = static_cast<std::uint8_t>(answer[0] - decoders::kAnswerBit);
  if (service == decoders::kClearInformation) {
    Close(unit);
    if (unit.record.cleared.size() < kMostRounds) unit.record.cleared.push_back(message.ended);
  } else if (IsObdList(service)) {
    const auto list = decoders::ParseObdCodes(answer);
    if (list.ok()) AddObdList(RoundFor(unit, request, message.ended), service, *list);
  } else if (service == decoders::kCurrentData) {
    const auto monitors = decoders::ParseMonitorStatus(answer);
    if (monitors.ok()) RoundFor(unit, {}, message.ended).monitors = *monitors;
  } else if (service == decoders::kCodeInformation && answer.size() > 1) {
    const auto report = static_cast<CodeReport>(answer[1]);
    if (report == CodeReport::kByMask || report == CodeReport::kSupported) {
      AddCodeList(RoundFor(unit, request, message.ended), request, answer);
    } else if (report == CodeReport::kSnapshot || report == CodeReport::kExtendedData) {
      AddCodeRecord(RoundFor(unit, {}, message.ended), answer);
    }
  }
}

void CodeRecorder::Take(const Told& told) {
  const decoders::UnitAnswer& answer = told.answer;
  Unit* unit = UnitOf(answer.message);
  if (unit == nullptr) return;
  if (answer.kind == decoders::AnswerKind::kPositive) {
    AddPositive(*unit, told.request, answer.message);
  } else if (ConcernsCodes(told.request)) {
    unit->record.refused = decoders::DescribeRefusal(answer.refusal());
  }
}

void CodeRecorder::Add(const decoders::Conversation& conversation) {
  CountAsked(conversation);
  const std::vector<std::uint8_t>& request = conversation.request.bytes;
  if (!TellsOfCodes(request)) return;
  for (const decoders::UnitAnswer& answer : conversation.answers) {
    const bool said = answer.kind == decoders::AnswerKind::kPositive ||
                      answer.kind == decoders::AnswerKind::kRefused;
    if (said && !answer.message.bytes.empty()) {
      waiting_.emplace(answer.message.ended, Told{request, answer});
    }
  }
  while (!waiting_.empty() && waiting_.rbegin()->first - waiting_.begin()->first > kReorder) {
    Take(waiting_.extract(waiting_.begin()).mapped());
  }
}

CodesHeard CodeRecorder::Finish() {
  for (const auto& [time, told] : std::exchange(waiting_, {})) Take(told);
  CodesHeard heard;
  for (auto& [key, unit] : units_) {
    Close(unit);
    heard.units.push_back(std::move(unit.record));
  }
  heard.asked = std::move(asked_);
  heard.asked_all = std::move(asked_all_);
  units_.clear();
  return heard;
}

}  // namespace proofdrive::analysis
