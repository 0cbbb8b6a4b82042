#include "analysis/compare/code_verdicts.h"

#include <gmock/gmock.h>

#include "analysis/compare/comparison.h"
#include "analysis/compare/test_plan.h"
#include "analysis/verdicts/verdict.h"

namespace proofdrive::analysis {
namespace {

using decoders::TroubleCode;
using ::testing::HasSubstr;

constexpr decoders::BusAddress kRequest{0x7E5, false};
constexpr decoders::BusAddress kAnswer{0x7ED, false};
constexpr TroubleCode kCode{0x0AA6, std::uint8_t{0x1A}};
constexpr WallTime kStart = WallTime(std::chrono::seconds(1'772'366'400));

WallTime At(double seconds) { return kStart + FromSeconds(seconds); }

// A round in which both lists of ISO 14229-1 were given. No status: the code is in neither.
CodeRound Round(double at, std::optional<std::uint8_t> status, std::uint8_t available = 0xFF) {
  CodeRound round;
  round.from = round.to = At(at);
  round.by_mask = round.supported = true;
  round.asked_for = 0xFF;
  round.available = available;
  if (status) round.codes[kCode].status = *status & available;
  return round;
}

// Services 03 and 07 alone.
CodeRound ObdRound(double at, bool stored) {
  CodeRound round;
  round.from = round.to = At(at);
  round.obd_lists = {0x03, 0x07};
  if (stored) round.codes[{kCode.code, {}}].stored = true;
  return round;
}

decoders::MonitorStatus Monitors(bool complete, const char* name = "catalyst") {
  decoders::MonitorStatus status;
  status.monitors = {{name, complete}};
  return status;
}

SessionFindings Session(std::vector<CodeRound> rounds) {
  SessionFindings findings;
  findings.start = kStart;
  findings.length = std::chrono::seconds(600);
  findings.header.channels.resize(1);
  decoders::UnitReport report;
  report.answer = kAnswer;
  report.request = kRequest;
  report.name = "pack_controller";
  findings.asked.units = {report};
  UnitRounds unit;
  unit.answer = kAnswer;
  unit.request = kRequest;
  unit.rounds = std::move(rounds);
  findings.asked.codes.units = {unit};
  AskedAddress asked;
  asked.asked = asked.answered = 1;
  findings.asked.codes.asked[{0, kRequest}] = asked;
  return findings;
}

SessionFindings NeverAsked() {
  SessionFindings findings;
  findings.start = kStart;
  findings.length = std::chrono::seconds(600);
  findings.header.channels.resize(1);
  return findings;
}

CodeVerdict Only(const SessionFindings& before, const SessionFindings& after) {
  const auto verdicts = JudgeCodes(before, after);
  EXPECT_EQ(verdicts.size(), 1U);
  return verdicts.empty() ? CodeVerdict() : verdicts[0];
}

Verdict After(std::uint8_t status, std::uint8_t available = 0xFF) {
  return Only(Session({Round(10, 0x2F)}), Session({Round(10, status, available)})).verdict;
}

// ISO 14229-1 Annex D.2. How each byte reads: references of the checks, section 11 (bits from
// memory).
TEST(CodeVerdicts, StatusBytes) {
  EXPECT_EQ(After(0x50), Verdict::kNotProven);  // just cleared, never run
  EXPECT_EQ(After(0x10), Verdict::kNotProven);  // contradictory
  EXPECT_EQ(After(0x40), Verdict::kNotProven);  // passed earlier, not in this cycle
  EXPECT_EQ(After(0x00), Verdict::kCleared);    // completed in this cycle and not failed
  EXPECT_EQ(After(0x20), Verdict::kNotProven);  // failed since clear, passed now
  EXPECT_EQ(After(0x28), Verdict::kStillOn);    // confirmed, passed now, stored
  EXPECT_EQ(After(0x68), Verdict::kStillOn);    // confirmed earlier, not run again
  EXPECT_EQ(After(0x24), Verdict::kStillOn);    // pending
  EXPECT_EQ(After(0x09), Verdict::kStillOn);
  EXPECT_EQ(After(0x2F), Verdict::kStillOn);
  EXPECT_EQ(After(0xAF), Verdict::kStillOn);
  EXPECT_EQ(After(0x02), Verdict::kStillOn);  // failed in this cycle, passed later in it
}

TEST(CodeVerdicts, NoStatusByteWithoutCompletedTestIsEverCleared) {
  for (unsigned status = 0; status < 256; ++status) {
    for (const unsigned available : {0xFFU, 0x7FU, 0x0FU, 0x2FU, 0x6FU, 0x79U, 0x00U}) {
      const Verdict verdict =
          After(static_cast<std::uint8_t>(status), static_cast<std::uint8_t>(available));
      const bool passed = (available & 0x53) == 0x53 && (status & available) == 0;
      EXPECT_EQ(verdict == Verdict::kCleared, passed) << status << " " << available;
    }
  }
}

TEST(CodeVerdicts, ACodeThatIsNoLongerListedIsNotCleared) {
  CodeRound round = Round(10, {});
  round.supported = false;  // by mask alone
  const CodeVerdict left_out = Only(Session({Round(10, 0x2F)}), Session({round}));
  EXPECT_EQ(left_out.verdict, Verdict::kNotProven);
  EXPECT_THAT(left_out.why, HasSubstr("in no list that the unit gave"));
  EXPECT_THAT(left_out.why, HasSubstr("does not say whether its test has run"));

  const CodeVerdict unknown = Only(Session({Round(10, 0x2F)}), Session({Round(10, {})}));
  EXPECT_EQ(unknown.verdict, Verdict::kNoEvidence);
  EXPECT_THAT(unknown.why, HasSubstr("no longer among the codes that the unit can set"));

  round.asked_for = 0x08;  // confirmed ones alone: it may be pending
  const CodeVerdict masked = Only(Session({Round(10, 0x2F)}), Session({round}));
  EXPECT_EQ(masked.verdict, Verdict::kNoEvidence);
}

TEST(CodeVerdicts, AUnitThatDoesNotTellLeavesNoEvidence) {
  const auto before = Session({Round(10, 0x2F)});
  const CodeVerdict never = Only(before, NeverAsked());
  EXPECT_EQ(never.verdict, Verdict::kNoEvidence);
  EXPECT_THAT(never.why, HasSubstr("nobody asked it for its codes"));

  SessionFindings silent = NeverAsked();
  AskedAddress asked;
  asked.asked = 3;
  asked.last_unanswered = At(20);
  silent.asked.codes.asked[{0, kRequest}] = asked;
  const CodeVerdict mute = Only(before, silent);
  EXPECT_EQ(mute.verdict, Verdict::kNoEvidence);
  EXPECT_THAT(mute.why, HasSubstr("asked 3 times and never answered"));

  SessionFindings refuses = Session({});
  refuses.asked.codes.units[0].refused = "not now";
  EXPECT_THAT(Only(before, refuses).why, HasSubstr("gave no list of its codes: not now"));
}

TEST(CodeVerdicts, AUnitThatFallsSilentLeavesNoEvidence) {
  SessionFindings after = Session({Round(10, 0x00)});
  AskedAddress& asked = after.asked.codes.asked[{0, kRequest}];
  asked.asked = 2;
  asked.last_answered = At(10);
  asked.last_unanswered = At(300);
  const CodeVerdict verdict = Only(Session({Round(10, 0x2F)}), after);
  EXPECT_EQ(verdict.verdict, Verdict::kNoEvidence);
  EXPECT_THAT(verdict.why, HasSubstr("asked again 5 min"));
  // The answer to a question in the last moment may come after the recording.
  asked.last_unanswered = At(598);
  EXPECT_EQ(Only(Session({Round(10, 0x2F)}), after).verdict, Verdict::kCleared);
}

TEST(CodeVerdicts, SetAgainAfterItWasNotSetCameBack) {
  const auto after = Session({Round(5, 0x50), Round(300, 0x2F)});
  const CodeVerdict verdict = Only(Session({Round(10, 0x2F)}), after);
  EXPECT_EQ(verdict.verdict, Verdict::kCameBack);
  EXPECT_EQ(Only(Session({Round(10, 0x00)}), after).verdict, Verdict::kNew);
  EXPECT_EQ(Only(Session({Round(10, 0x2F)}), Session({Round(5, 0x2F), Round(300, 0x00)})).verdict,
            Verdict::kCleared);
  EXPECT_EQ(Only(Session({Round(10, 0x2F)}),
                 Session({Round(5, 0x2F), Round(200, 0x00), Round(300, 0x2F)}))
                .verdict,
            Verdict::kCameBack);
}

TEST(CodeVerdicts, ObdAloneNeedsEveryMonitorComplete) {
  const auto before = Session({ObdRound(10, true)});
  CodeRound gone = ObdRound(10, false);
  EXPECT_EQ(Only(before, Session({gone})).verdict, Verdict::kNotProven);
  gone.monitors = Monitors(false);
  EXPECT_EQ(Only(before, Session({gone})).verdict, Verdict::kNotProven);
  gone.monitors = Monitors(true, "components");  // says so all the time
  EXPECT_EQ(Only(before, Session({gone})).verdict, Verdict::kNotProven);
  gone.monitors = Monitors(true);
  EXPECT_EQ(Only(before, Session({gone})).verdict, Verdict::kCleared);
  EXPECT_EQ(Only(before, Session({ObdRound(10, true)})).verdict, Verdict::kStillOn);
  gone.obd_lists = {0x03};  // it may be pending
  EXPECT_EQ(Only(before, Session({gone})).verdict, Verdict::kNoEvidence);
}

TEST(CodeVerdicts, ListedWithAndWithoutFailureTypeIsOneCode) {
  // Before by SAE J1979, after by ISO 14229-1.
  const CodeVerdict verdict = Only(Session({ObdRound(10, true)}), Session({Round(10, 0x2F)}));
  EXPECT_EQ(verdict.name, "P0AA6-1A");
  EXPECT_EQ(verdict.verdict, Verdict::kStillOn);
}

TEST(CodeVerdicts, CodesNobodySawSetAreToldOnlyWhenBothSessionsTell) {
  EXPECT_EQ(Only(Session({Round(10, 0x00)}), Session({Round(10, 0x50)})).verdict,
            Verdict::kOffInBoth);
  EXPECT_TRUE(JudgeCodes(NeverAsked(), Session({Round(10, 0x50)})).empty());
  EXPECT_TRUE(JudgeCodes(Session({Round(10, 0x50)}), NeverAsked()).empty());
}

TEST(CodeVerdicts, SentencesSayWhoToldWhatAndWhen) {
  SessionFindings after = Session({Round(90, 0x50)});
  after.asked.codes.units[0].cleared = {At(31)};
  const CodeVerdict verdict = Only(Session({Round(12, 0x2F)}), after);
  EXPECT_EQ(verdict.unit, "pack_controller");
  EXPECT_EQ(
      verdict.why,
      "before, confirmed, pending, failed at its last test (status 2F); after, not set (status "
      "50, 90 s into the session), but its test has not been completed since codes were "
      "cleared; codes were cleared 31 s into the after-session");
}

TEST(CodeVerdicts, CountInTheComparisonAndInThePlan) {
  Comparison comparison = Compare(Session({Round(10, 0x2F)}), Session({Round(10, 0x40)}));
  ASSERT_EQ(comparison.InOrder().size(), 1U);
  EXPECT_EQ(comparison.InOrder()[0]->Label(), "P0AA6-1A of pack_controller");
  EXPECT_TRUE(comparison.AnyUnproven());
  EXPECT_FALSE(comparison.AnyOpen());
  const TestPlan plan = MakeTestPlan(comparison);
  ASSERT_EQ(plan.obstacles.size(), 1U);
  EXPECT_THAT(plan.obstacles[0].what, HasSubstr("has not tested it"));
  EXPECT_TRUE(Compare(Session({Round(10, 0x2F)}), Session({Round(10, 0x2F)})).AnyOpen());
}

}  // namespace
}  // namespace proofdrive::analysis
