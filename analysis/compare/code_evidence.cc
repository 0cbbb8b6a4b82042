#include "analysis/compare/code_evidence.h"

#include <algorithm>

#include "core/base/text.h"
#include "decoders/services/service_names.h"

namespace proofdrive::analysis {
namespace {

using decoders::StatusBit;
using decoders::TroubleCode;

// Bits that a unit must support for its status to say that a test passed (ISO 14229-1 Annex D.2:
// an unsupported bit reads 0).
constexpr std::uint8_t kTestBits = StatusBit::kTestFailed | StatusBit::kTestFailedThisCycle |
                                   StatusBit::kNotCompletedSinceClear |
                                   StatusBit::kNotCompletedThisCycle;
// Bits by which a list must choose for a code that it leaves out not to be set.
constexpr std::uint8_t kSetBits = StatusBit::kTestFailed | StatusBit::kTestFailedThisCycle |
                                  StatusBit::kPending | StatusBit::kConfirmed;

bool SameNumber(const TroubleCode& a, const TroubleCode& b) { return a.code == b.code; }

// What a round lists of the code. A code without its failure type (SAE J1979) stands for all of the
// same number, and is what the unit may list of a code with one.
std::optional<CodeState> Listed(const CodeRound& round, const TroubleCode& code) {
  const auto exact = round.codes.find(code);
  if (exact != round.codes.end()) return exact->second;
  CodeState state;
  bool any = false;
  for (const auto& [other, listed] : round.codes) {
    if (!SameNumber(other, code) || (other.failure_type && code.failure_type)) continue;
    any = true;
    state.stored |= listed.stored;
    state.pending |= listed.pending;
    state.permanent |= listed.permanent;
    if (!listed.status) continue;
    const unsigned before = state.status ? *state.status : 0u;
    state.status = static_cast<std::uint8_t>(before | *listed.status);
  }
  if (!any) return std::nullopt;
  return state;
}

enum class Told { kNothing, kOn, kOff, kNoSuchCode };

// What a round says about a code that it does not list.
Told LeftOut(const CodeRound& round, bool unit_gives_status) {
  if (round.supported) return Told::kNoSuchCode;
  if (round.by_mask) {
    const unsigned needed = kSetBits & round.available;
    return needed != 0 && (needed & ~unsigned{round.asked_for}) == 0 ? Told::kOff : Told::kNothing;
  }
  const bool both = round.obd_lists.contains(decoders::kStoredCodes) &&
                    round.obd_lists.contains(decoders::kPendingCodes);
  return both && !unit_gives_status ? Told::kOff : Told::kNothing;
}

// Every monitor is complete, and one of them does not run all the time: those that do always say
// that they are complete (SAE J1979, from memory).
bool MonitorsComplete(const CodeRound& round) {
  if (!round.monitors || !round.monitors->ready()) return false;
  const auto& monitors = round.monitors->monitors;
  return std::any_of(monitors.begin(), monitors.end(), [](const decoders::Monitor& monitor) {
    return monitor.name != "misfire" && monitor.name != "fuel system" &&
           monitor.name != "components";
  });
}

CodeTest TestOf(const CodeRound& round, const std::optional<CodeState>& listed) {
  if (listed && listed->status) {
    const std::uint8_t status = *listed->status;
    if ((round.available & kTestBits) != kTestBits) return CodeTest::kNotSaid;
    if (status & StatusBit::kNotCompletedSinceClear) return CodeTest::kNotSinceClear;
    if (status & StatusBit::kFailedSinceClear) return CodeTest::kFailedSinceClear;
    if (status & StatusBit::kNotCompletedThisCycle) return CodeTest::kNotThisCycle;
    return CodeTest::kPassed;
  }
  if (round.by_mask || round.supported) return CodeTest::kNotListed;
  return MonitorsComplete(round) ? CodeTest::kPassed : CodeTest::kMonitorsNotComplete;
}

const UnitRounds* FindUnit(const CodesHeard& heard, const UnitPlace& place) {
  for (const UnitRounds& unit : heard.units) {
    if (unit.channel == place.channel && unit.answer == place.answer) return &unit;
  }
  return nullptr;
}

const AskedAddress* FindAsked(const CodesHeard& heard, const UnitPlace& place) {
  if (!place.request) return nullptr;
  const auto found = heard.asked.find({place.channel, *place.request});
  return found == heard.asked.end() ? nullptr : &found->second;
}

// Why a unit that gave no list says nothing.
std::string WhySilent(const CodesHeard& heard, const UnitPlace& place, const UnitRounds* unit) {
  const AskedAddress* asked = FindAsked(heard, place);
  if (unit != nullptr && !unit->refused.empty()) {
    return "it gave no list of its codes: " + unit->refused;
  }
  if (asked != nullptr && asked->answered == 0) {
    const std::string often = asked->asked == 1 ? "once" : CountOf(asked->asked, "time");
    return "it was asked " + often + " and never answered";
  }
  if (asked == nullptr && heard.asked_all.contains(place.channel)) {
    return "all units were asked for their codes and it did not answer";
  }
  if (unit == nullptr && asked == nullptr) return "nobody asked it for its codes";
  return "it gave no list of its codes";
}

class Reader {
 public:
  Reader(const UnitRounds& unit, const TroubleCode& code, WallTime start)
      : code_(code), start_(start) {
    gives_status_ = std::any_of(unit.rounds.begin(), unit.rounds.end(), [](const CodeRound& round) {
      return round.by_mask || round.supported;
    });
    for (const CodeRound& round : unit.rounds) Read(round);
    for (const WallTime time : unit.cleared) evidence_.cleared.push_back(time - start);
  }
  CodeEvidence Take() { return std::move(evidence_); }

 private:
  void Read(const CodeRound& round) {
    const std::optional<CodeState> listed = Listed(round, code_);
    const Told told =
        listed ? (listed->IsSet() ? Told::kOn : Told::kOff) : LeftOut(round, gives_status_);
    if (told == Told::kNothing) return;
    evidence_.last = listed;
    evidence_.last_told = round.to - start_;
    evidence_.test = CodeTest::kUnknown;
    evidence_.known_at_end = told != Told::kNoSuchCode;
    evidence_.why_unknown.clear();
    evidence_.available =
        round.by_mask || round.supported ? std::optional(round.available) : std::nullopt;
    if (told == Told::kNoSuchCode) {
      evidence_.why_unknown = "it is no longer among the codes that the unit can set (list 19 0A)";
      return;
    }
    ++evidence_.rounds;
    if (told == Told::kOn) {
      SetAt(round.from - start_);
    } else {
      OffAt(round.to - start_);
    }
    evidence_.test = TestOf(round, listed);
  }

  void SetAt(Duration at) {
    evidence_.set_after_off |= evidence_.ever_off;
    evidence_.on_off_on |= off_after_on_;
    if (!evidence_.last_known_on) {
      ++evidence_.times_set;
      evidence_.last_set = at;
      if (!evidence_.first_set) evidence_.first_set = at;
    }
    evidence_.ever_on = evidence_.last_known_on = true;
  }
  void OffAt(Duration at) {
    off_after_on_ |= evidence_.ever_on;
    evidence_.ever_off = true;
    evidence_.last_known_on = false;
    evidence_.last_off = at;
  }

  const TroubleCode code_;
  const WallTime start_;
  bool gives_status_ = false;
  bool off_after_on_ = false;
  CodeEvidence evidence_;
};

// Patience of somebody who asks: a question later than this before the end may be answered after
// it.
constexpr Duration kPatience = std::chrono::seconds(5);

}  // namespace

CodeEvidence CodeEvidenceOf(const CodesHeard& heard, const UnitPlace& place,
                            const TroubleCode& code, WallTime start, WallTime end) {
  const UnitRounds* unit = FindUnit(heard, place);
  if (unit == nullptr || unit->rounds.empty()) {
    CodeEvidence nothing;
    nothing.why_unknown = WhySilent(heard, place, unit);
    return nothing;
  }
  CodeEvidence evidence = Reader(*unit, code, start).Take();
  const AskedAddress* asked = FindAsked(heard, place);
  const WallTime told = unit->rounds.back().to;
  if (asked != nullptr && asked->SilentAtEnd() && asked->last_unanswered > told &&
      asked->last_unanswered + kPatience < end) {
    evidence.known_at_end = false;
    evidence.why_unknown = "it was asked again " + FormatDuration(asked->last_unanswered - start) +
                           " into the session and did not answer";
  } else if (!evidence.Says() && evidence.why_unknown.empty()) {
    evidence.why_unknown = "its lists were not asked for in a way that would show the code";
  }
  return evidence;
}

WarningEvidence AsWarning(const CodeEvidence& evidence) {
  WarningEvidence warning;
  warning.ever_on = evidence.ever_on;
  warning.ever_off = evidence.ever_off;
  warning.set_after_off = evidence.set_after_off;
  warning.on_off_on = evidence.on_off_on;
  warning.last_known_on = evidence.last_known_on;
  warning.known_at_end = evidence.known_at_end;
  warning.proven = evidence.test == CodeTest::kPassed;
  return warning;
}

}  // namespace proofdrive::analysis
