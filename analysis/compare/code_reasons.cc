// The sentences of code_verdicts.h.
#include "analysis/compare/code_verdicts.h"
#include "analysis/verdicts/reasons.h"
#include "core/base/text.h"
#include "decoders/services/trouble_code.h"

namespace proofdrive::analysis {
namespace {

using decoders::StatusBit;
using std::string;

string Hex(std::uint8_t value) {
  const std::uint8_t byte[] = {value};
  return HexBytes(byte);
}

string StatusText(std::uint8_t status, std::uint8_t available) {
  std::vector<string> parts;
  if (status & StatusBit::kConfirmed) parts.push_back("confirmed");
  if (status & StatusBit::kPending) parts.push_back("pending");
  if (status & StatusBit::kTestFailed) {
    parts.push_back("failed at its last test");
  } else if (status & StatusBit::kTestFailedThisCycle) {
    parts.push_back("failed earlier in this operation cycle");
  } else if (status & StatusBit::kNotCompletedSinceClear) {
    parts.push_back("not tested since codes were cleared");
  } else if (status & StatusBit::kNotCompletedThisCycle) {
    parts.push_back("not tested in this operation cycle");
  } else if (available & StatusBit::kNotCompletedThisCycle) {
    parts.push_back("passed its last test");
  }
  const string number = "status " + Hex(status);
  return parts.empty() ? number : Join(parts, ", ") + " (" + number + ")";
}

string Before(const CodeEvidence& before) {
  if (!before.Says()) return "not known before (" + before.why_unknown + ")";
  if (before.last_known_on) return "before, " + CodeStateText(before);
  if (!before.ever_on) return "not set before: " + CodeStateText(before);
  return "set before, then not: " + CodeStateText(before);
}

string At(const std::optional<Duration>& time) {
  return time ? ", " + SpokenDuration(*time) + " into the session" : string();
}

string After(const CodeEvidence& after) {
  return "after, " + CodeStateText(after) + At(after.last_told);
}

string ClearedText(const CodeEvidence& before, const CodeEvidence& after) {
  string text;
  if (!before.cleared.empty()) {
    text += "; codes were cleared " + SpokenDuration(before.cleared.back()) +
            " into the before-session";
  }
  if (!after.cleared.empty()) {
    text +=
        "; codes were cleared " + SpokenDuration(after.cleared.back()) + " into the after-session";
  }
  return text;
}

string TestText(const CodeEvidence& after) {
  switch (after.test) {
    case CodeTest::kPassed:
      return "its test has run and passed, since codes were cleared and in this operation cycle";
    case CodeTest::kNotSinceClear:
      return "its test has not been completed since codes were cleared";
    case CodeTest::kNotThisCycle:
      return "its test has not been completed in this operation cycle; it passed in an earlier one";
    case CodeTest::kFailedSinceClear:
      return "it has failed since codes were last cleared, and passed later: it comes and goes, or "
             "that failure is older than the repair";
    case CodeTest::kNotSaid:
      return "the unit does not say whether its test has run (it supports the status bits " +
             Hex(after.available.value_or(0)) + " only)";
    case CodeTest::kNotListed:
      return "that does not say whether its test has run";
    case CodeTest::kMonitorsNotComplete:
      return "the unit does not say that everything it watches has been tested";
    case CodeTest::kUnknown:
      return "nothing is known of its test";
  }
  return "";
}

// Without the words of the status: those of the test follow.
string OffState(const CodeEvidence& after) {
  if (!after.last || !after.last->status) return CodeStateText(after) + At(after.last_told);
  return "status " + Hex(*after.last->status) + At(after.last_told);
}

// Not set now, with what is known of the test.
string Off(const CodeEvidence& before, const CodeEvidence& after) {
  const string first = after.ever_on ? "set at first after, then not" : "after, not set";
  return Before(before) + "; " + first + " (" + OffState(after) + ")";
}

// A stored code whose test passes.
string Kept(const CodeEvidence& after) {
  if (!after.last || !after.last->status) return "";
  constexpr std::uint8_t kNotPassed = StatusBit::kTestFailed | StatusBit::kTestFailedThisCycle |
                                      StatusBit::kPending | StatusBit::kNotCompletedThisCycle;
  const bool kept =
      (*after.last->status & StatusBit::kConfirmed) != 0 && (*after.last->status & kNotPassed) == 0;
  return kept ? "; units keep a stored code until codes are cleared or many cycles have passed"
              : "";
}

string WhyNoEvidence(const CodeEvidence& before, const CodeEvidence& after) {
  if (!after.Says()) return Before(before) + "; after, " + after.why_unknown;
  if (!after.known_at_end) {
    return Before(before) + "; not set after when the unit told, but then " + after.why_unknown;
  }
  return Off(before, after) + ", but nothing says that it was ever set";
}

}  // namespace

string CodeStateText(const CodeEvidence& evidence) {
  if (!evidence.last) return "in no list that the unit gave";
  const CodeState& state = *evidence.last;
  std::vector<string> parts;
  if (state.status) parts.push_back(StatusText(*state.status, evidence.available.value_or(0xFF)));
  const bool in_words = state.status && (*state.status & StatusBit::kConfirmed);
  if (state.stored && !in_words) parts.push_back("in the list of confirmed codes");
  if (state.pending && !state.status) parts.push_back("in the list of pending codes");
  if (state.permanent) parts.push_back("in the list of permanent codes");
  return Join(parts, ", ");
}

string CodeReason(Verdict verdict, const CodeEvidence& before, const CodeEvidence& after) {
  const string cleared = ClearedText(before, after);
  switch (verdict) {
    case Verdict::kStillOn:
      return Before(before) + "; " + After(after) + Kept(after) + cleared;
    case Verdict::kCameBack:
      return Before(before) + "; the unit told it as not set in the after-session, then as set" +
             At(after.last_set) + "; " + After(after) + cleared;
    case Verdict::kNew:
      return Before(before) + "; " + After(after) + cleared;
    case Verdict::kNotProven:
      return Off(before, after) + ", but " + TestText(after) + cleared;
    case Verdict::kNoEvidence:
      return WhyNoEvidence(before, after) + cleared;
    case Verdict::kCleared:
      return Off(before, after) + ": " + TestText(after) + cleared;
    case Verdict::kOffInBoth:
      return Off(before, after) +
             (after.test == CodeTest::kPassed ? "" : ", but " + TestText(after)) + cleared;
  }
  return "";
}

string CodeObstacle(const CodeEvidence& after) {
  if (!after.known_at_end) {
    return "Its control unit did not tell at the end: see that it is connected and awake, and ask "
           "for codes while recording (proofdrive codes)";
  }
  switch (after.test) {
    case CodeTest::kNotSinceClear:
    case CodeTest::kNotThisCycle:
      return "Its control unit has not tested it: use the car until it has (the maker's documents "
             "say what that test needs), and ask for codes again before the recording ends";
    case CodeTest::kFailedSinceClear:
      return "Its status remembers a failure that may be older than the repair: clear codes "
             "(proofdrive clear), use the car until the unit has tested it, and ask again";
    case CodeTest::kPassed:
      return "Nothing shows that it was ever set: no recording made after the repair can say that "
             "the repair cleared it";
    default:
      return "Its control unit does not tell whether the test has run: what the maker's documents "
             "ask for after this repair must show it";
  }
}

}  // namespace proofdrive::analysis
