#include "analysis/verdicts/evidence.h"

#include <gtest/gtest.h>

namespace proofdrive::analysis {
namespace {

using decoders::WarningHistory;
using decoders::WarningSpan;
using decoders::WarningStateKind;
using std::chrono::milliseconds;
using std::chrono::seconds;

constexpr auto kUnknown = WarningStateKind::kUnknown;
constexpr auto kOff = WarningStateKind::kOff;
constexpr auto kOn = WarningStateKind::kOn;

const WallTime kStart = WallTime(seconds(1000));

struct Stretch {
  WarningStateKind kind;
  Duration length;
};

WarningHistory History(const std::vector<Stretch>& stretches) {
  WarningHistory history;
  WallTime now = kStart;
  for (const Stretch& stretch : stretches) {
    history.spans.push_back({stretch.kind, now, now + stretch.length});
    now += stretch.length;
  }
  return history;
}

WarningEvidence Evidence(const std::vector<Stretch>& stretches, Duration bus_end) {
  WarningSource source;
  source.bus_end = bus_end;
  return EvidenceOf(History(stretches), source, kStart);
}

TEST(Evidence, OffThroughout) {
  const auto evidence = Evidence({{kOff, seconds(90)}}, seconds(90));
  EXPECT_TRUE(evidence.ever_off);
  EXPECT_FALSE(evidence.ever_on);
  EXPECT_TRUE(evidence.known_at_end);
  EXPECT_FALSE(evidence.went_off.has_value());
}

TEST(Evidence, OffThenOnIsSetAfterOff) {
  const auto evidence = Evidence({{kOff, seconds(30)}, {kOn, seconds(60)}}, seconds(90));
  EXPECT_TRUE(evidence.set_after_off);
  EXPECT_FALSE(evidence.on_off_on);
  EXPECT_TRUE(evidence.last_known_on);
}

TEST(Evidence, OnOffOnIsSeenThroughAnUnknownStretch) {
  const auto evidence =
      Evidence({{kOn, seconds(30)}, {kOff, seconds(5)}, {kUnknown, seconds(5)}, {kOn, seconds(50)}},
               seconds(90));
  EXPECT_TRUE(evidence.on_off_on);
  EXPECT_TRUE(evidence.set_after_off);
}

TEST(Evidence, OnUnknownOnNeverWentOff) {
  const auto evidence =
      Evidence({{kOn, seconds(30)}, {kUnknown, seconds(30)}, {kOn, seconds(30)}}, seconds(90));
  EXPECT_FALSE(evidence.on_off_on);
  EXPECT_FALSE(evidence.set_after_off);
}

TEST(Evidence, WentOffIsTheLastTime) {
  const auto evidence =
      Evidence({{kOn, seconds(10)}, {kOff, seconds(10)}, {kOn, seconds(10)}, {kOff, seconds(60)}},
               seconds(90));
  EXPECT_EQ(evidence.went_off, seconds(30));
}

TEST(Evidence, ShortOffBetweenTwoOnStretchesIsOff) {
  const auto evidence =
      Evidence({{kOn, seconds(30)}, {kOff, milliseconds(200)}, {kOn, seconds(60)}}, seconds(90));
  EXPECT_TRUE(evidence.on_off_on);
}

TEST(Evidence, ShortSilenceAtTheEndIsNoLoss) {
  EXPECT_TRUE(Evidence({{kOff, seconds(88)}, {kUnknown, seconds(2)}}, seconds(90)).known_at_end);
  const auto silent = Evidence({{kOff, seconds(80)}, {kUnknown, seconds(10)}}, seconds(90));
  EXPECT_FALSE(silent.known_at_end);
  EXPECT_EQ(silent.unknown_at_end, seconds(10));
}

TEST(Evidence, TheEndIsWhenTheBusFellQuiet) {
  // The car went to sleep after 80 s and the recorder ran for ten more minutes.
  const auto evidence = Evidence({{kOff, seconds(81)}, {kUnknown, seconds(600)}}, seconds(80));
  EXPECT_TRUE(evidence.known_at_end);
  EXPECT_EQ(evidence.length, seconds(80));
}

TEST(Evidence, UnknownThroughoutSaysNothing) {
  const auto evidence = Evidence({{kUnknown, seconds(90)}}, seconds(90));
  EXPECT_FALSE(evidence.Says());
  EXPECT_FALSE(evidence.known_at_end);
}

TEST(Evidence, NoSpansAtAllSayNothing) { EXPECT_FALSE(Evidence({}, Duration(0)).Says()); }

TEST(Evidence, NotDefinedSaysNothing) { EXPECT_FALSE(NotDefined().Says()); }

}  // namespace
}  // namespace proofdrive::analysis
