#include "analysis/verdicts/reasons.h"

#include <gtest/gtest.h>

#include "analysis/verdicts/verdict.h"

namespace proofdrive::analysis {
namespace {

using decoders::WarningStateKind;
using std::chrono::milliseconds;
using std::chrono::seconds;

constexpr auto kUnknown = WarningStateKind::kUnknown;
constexpr auto kOff = WarningStateKind::kOff;
constexpr auto kOn = WarningStateKind::kOn;

struct Stretch {
  WarningStateKind kind;
  int seconds;
};

struct Proof {
  int longest_s = 0;
  bool met = false;
};

WarningEvidence Seen(const std::vector<Stretch>& stretches, Proof proof = {},
                     std::vector<std::string> silent = {}) {
  decoders::WarningHistory history;
  WallTime now;
  WarningStateKind last = kUnknown;
  for (const Stretch& stretch : stretches) {
    const Duration length = seconds(stretch.seconds);
    history.spans.push_back({stretch.kind, now, now + length});
    if (stretch.kind == kOn) history.on += length;
    if (stretch.kind != kUnknown) history.known += length;
    if (stretch.kind == kOn && last != kOn) {
      ++history.times_set;
      if (!history.first_set) history.first_set = now;
      history.last_set = now;
    }
    last = stretch.kind;
    now += length;
  }
  history.proven = proof.met;
  history.proven_longest = seconds(proof.longest_s);
  if (last == kUnknown && silent.empty()) history.why_unknown = "coolant_level fell silent";
  WarningSource source;
  source.bus_end = now - WallTime();
  source.silent = std::move(silent);
  return EvidenceOf(history, source, WallTime());
}

decoders::Warning CoolantLow(bool with_proof = true) {
  decoders::Warning warning;
  warning.name = "coolant_low";
  if (with_proof) {
    warning.proven_by = decoders::ProvenBy{{"coolant_pump == high", {}}, seconds(60)};
  }
  return warning;
}

std::string Why(const WarningEvidence& before, const WarningEvidence& after,
                bool with_proof = true) {
  const Verdict verdict = Judge(before, after);
  return std::string(VerdictName(verdict)) + ": " +
         ReasonFor(verdict, CoolantLow(with_proof), before, after);
}

const WarningEvidence kWasOn = Seen({{kOn, 120}});
const WarningEvidence kWasOff = Seen({{kOff, 120}});

TEST(ReasonFor, NotProvenSaysWhatIsMissing) {
  EXPECT_EQ(Why(kWasOn, Seen({{kOff, 92}}, {12, false})),
            "not proven: on for all 120 s before; off for all 92 s after, but never put to the "
            "test: needs "
            "coolant_pump == high for 60 s, reached 12 s");
}

TEST(ReasonFor, NotProvenOftenEnoughSaysTheCount) {
  decoders::Warning warning = CoolantLow();
  warning.proven_by->times = 3;
  WarningEvidence after = Seen({{kOff, 92}}, {12, false});
  EXPECT_EQ(ReasonFor(Verdict::kNotProven, warning, kWasOn, after),
            "on for all 120 s before; off for all 92 s after, but never put to the test: needs "
            "coolant_pump == high for 60 s, 3 times, reached 12 s");
  after.proven_times = 2;
  EXPECT_EQ(
      ReasonFor(Verdict::kNotProven, warning, kWasOn, after),
      "on for all 120 s before; off for all 92 s after, but not put to the test enough: needs "
      "coolant_pump == high for 60 s, 3 times, reached 2 of them");
  warning.proven_by->hold = Duration(0);
  after.proven_times = 3;
  after.proven = true;
  EXPECT_EQ(ReasonFor(Verdict::kCleared, warning, kWasOn, after),
            "on for all 120 s before; off for all 92 s after and put to the test: needs "
            "coolant_pump == high 3 times, reached 3 of them");
}

TEST(ReasonFor, NotProvenWhenTheConditionNeverHeld) {
  EXPECT_EQ(Why(kWasOn, Seen({{kOff, 92}})),
            "not proven: on for all 120 s before; off for all 92 s after, but never put to the "
            "test: needs "
            "coolant_pump == high for 60 s, which never happened");
}

TEST(ReasonFor, NotProvenWithoutAProofConditionSaysHowToAddOne) {
  EXPECT_EQ(
      Why(kWasOn, Seen({{kOff, 92}}), false),
      "not proven: on for all 120 s before; off for all 92 s after, but no proof condition is "
      "written for it (\"proven by\" in its definition)");
}

TEST(ReasonFor, NotProvenAfterItWentOffDuringTheSession) {
  EXPECT_EQ(Why(kWasOn, Seen({{kOn, 30}, {kOff, 62}}, {12, false})),
            "not proven: on for all 120 s before; still on at first after, off since 30 s into the "
            "after-session, but never put to the test: needs coolant_pump == high for 60 s, "
            "reached 12 s");
}

TEST(ReasonFor, ClearedSaysHowItWasProven) {
  EXPECT_EQ(Why(kWasOn, Seen({{kOff, 92}}, {75, true})),
            "cleared: on for all 120 s before; off for all 92 s after and put to the test: needs "
            "coolant_pump == high for 60 s, reached 75 s");
}

TEST(ReasonFor, StillOn) {
  EXPECT_EQ(Why(kWasOn, Seen({{kOn, 92}})),
            "still on: on for all 120 s before; on for all 92 s after, on at the end");
}

TEST(ReasonFor, StillOnWhenLastKnown) {
  EXPECT_EQ(
      Why(kWasOn, Seen({{kOn, 40}, {kUnknown, 52}})),
      "still on: on for all 120 s before; on for 40 s of 92 s after, on when last known, then "
      "not known for 52 s");
}

TEST(ReasonFor, StillOnWithoutKnowingTheStateBefore) {
  EXPECT_EQ(Why(Seen({{kUnknown, 120}}, {}, {"pump_status"}), Seen({{kOn, 92}})),
            "still on: not known before (its frame pump_status never arrived); on for all 92 s "
            "after, on at the end");
}

TEST(ReasonFor, CameBack) {
  EXPECT_EQ(
      Why(kWasOn, Seen({{kOff, 35}, {kOn, 5}, {kOff, 40}, {kOn, 12}})),
      "came back: on for all 120 s before; went off, then set again 80 s into the after-session, "
      "2 times in all; on for 17 s of 92 s after, on at the end");
}

TEST(ReasonFor, New) {
  EXPECT_EQ(Why(kWasOff, Seen({{kOff, 35}, {kOn, 57}})),
            "new: off for all 120 s before; set 35 s into the after-session; on for 57 s of 92 s "
            "after, on at the end");
}

TEST(ReasonFor, NewFromTheStart) {
  EXPECT_EQ(Why(kWasOff, Seen({{kOn, 92}})),
            "new: off for all 120 s before; set from the start of the after-session; on for all 92 "
            "s after, on at the end");
}

TEST(ReasonFor, NoEvidenceNamesTheSilentFrame) {
  EXPECT_EQ(Why(kWasOn, Seen({{kUnknown, 92}}, {}, {"crash"})),
            "no evidence: on for all 120 s before; after, its frame crash never arrived");
  EXPECT_EQ(Why(kWasOff, Seen({{kUnknown, 92}}, {}, {"crash", "lamps"})),
            "no evidence: off for all 120 s before; after, its frames crash, lamps never arrived");
}

TEST(ReasonFor, NoEvidenceWhenTheFrameFellSilent) {
  EXPECT_EQ(Why(kWasOn, Seen({{kOff, 40}, {kUnknown, 52}}, {60, true})),
            "no evidence: on for all 120 s before; off after while it was known, but not known for "
            "the last 52 s: coolant_level fell silent");
}

TEST(ReasonFor, NoEvidenceThatTheRepairChangedIt) {
  EXPECT_EQ(Why(Seen({{kUnknown, 120}}, {}, {"pump_status"}), Seen({{kOff, 92}}, {60, true})),
            "no evidence: not known before (its frame pump_status never arrived); off and put to "
            "the test "
            "after, but nothing says that it was ever set");
}

TEST(ReasonFor, NoEvidenceWhenTheDefinitionsLackIt) {
  EXPECT_EQ(Why(NotDefined(), NotDefined()),
            "no evidence: only the definitions stored with the before-session have this warning; "
            "to judge it, give definition files with --definitions");
}

TEST(ReasonFor, OffInBothMentionsAMissingProof) {
  EXPECT_EQ(Why(kWasOff, Seen({{kOff, 92}}, {60, true})),
            "off in both: off for all 120 s before; off for all 92 s after");
  EXPECT_EQ(
      Why(kWasOff, Seen({{kOff, 92}}, {12, false})),
      "off in both: off for all 120 s before; off for all 92 s after, but never put to the test: "
      "needs coolant_pump == high for 60 s, reached 12 s");
}

}  // namespace
}  // namespace proofdrive::analysis
