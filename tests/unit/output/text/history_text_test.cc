#include "output/text/history_text.h"

#include <gtest/gtest.h>

#include "analysis/history/history.h"

namespace proofdrive::analysis {
namespace {

using decoders::WarningStateKind;
using std::chrono::seconds;

constexpr WallTime kDay = WallTime(seconds(1'772'366'400));

// One session with one warning: "N" on throughout, "n" on then off, "." off, "+" off and proven,
// "?" never known.
SessionFindings Session(char what, int number,
                        decoders::KnownFrom known_from = decoders::KnownFrom::kDocument) {
  auto definitions = std::make_shared<decoders::Definitions>();
  definitions->warnings.resize(1);
  definitions->warnings[0].name = "isolation";
  definitions->warnings[0].known_from = known_from;
  SessionFindings findings;
  findings.definitions = definitions;
  findings.start = kDay + std::chrono::hours(24 * number);
  findings.length = seconds(100);
  findings.warnings.resize(1);
  decoders::WarningHistory& history = findings.warnings[0];
  const WallTime start = findings.start, middle = start + seconds(50), end = start + seconds(100);
  if (what == 'N') history.spans = {{WarningStateKind::kOn, start, end}};
  if (what == 'n') {
    history.spans = {{WarningStateKind::kOn, start, middle}, {WarningStateKind::kOff, middle, end}};
  }
  if (what == '.' || what == '+') history.spans = {{WarningStateKind::kOff, start, end}};
  if (what == 'N' || what == 'n') history.first_set = history.last_set = start;
  history.proven = what == '+';
  findings.sources.resize(1);
  findings.sources[0].bus_end = findings.length;
  return findings;
}

WarningRow RowOf(const std::string& sessions) {
  HistoryBuilder builder;
  for (std::size_t i = 0; i < sessions.size(); ++i) {
    builder.Add("s", Session(sessions[i], static_cast<int>(i)));
  }
  return builder.Finish().warnings.at(0);
}

TEST(History, AGuessIsSaidWithWhateverIsSaid) {
  HistoryBuilder builder;
  builder.Add("s", Session('N', 0, decoders::KnownFrom::kGuess));
  builder.Add("s", Session('+', 1, decoders::KnownFrom::kGuess));
  const History history = builder.Finish();
  EXPECT_TRUE(
      output::RecurrenceText(history.warnings[0])
          .ends_with(
              "too few to say how often it comes, if the definition of isolation is right: it is a "
              "guess"));
  EXPECT_TRUE(output::HistoryHeadline(history).ends_with(
      " 1 warning rests on what is only a guess or known from a survey."));
}

// Exact binomial bound for no occurrence in n trials, 95 %; the values are those published as
// multiples of "three over n" in statistics texts, computed as 1 - 0.05^(1/n).
TEST(RecurrenceBound, WorkedValues) {
  const std::pair<std::size_t, double> kRows[] = {
      {1, 0.95}, {3, 0.632}, {5, 0.451}, {10, 0.259}, {20, 0.139}, {29, 0.098}, {59, 0.0495}};
  for (const auto& [n, bound] : kRows) EXPECT_NEAR(RecurrenceBound(n), bound, 5e-4) << n;
  EXPECT_EQ(RecurrenceBound(0), 1);
}

TEST(History, CellsAreWhatEachSessionSays) {
  const WarningRow row = RowOf("Nn.+?");
  EXPECT_EQ(row.cells, (std::vector{HistoryCell::kOnAtEnd, HistoryCell::kWasOn, HistoryCell::kOff,
                                    HistoryCell::kTested, HistoryCell::kUnknown}));
  EXPECT_EQ(row.known, 4U);
  EXPECT_EQ(row.on, 2U);
  EXPECT_EQ(*row.first_on, 0U);
  EXPECT_EQ(*row.last_on, 1U);
  EXPECT_EQ(row.first_set, kDay);
  EXPECT_EQ(row.last_set, kDay + std::chrono::hours(24));
}

// A code that is set, cleared without a test, passed in four cold starts, and comes back: a view of
// the lamp alone would have said "gone" from session 2 on.
TEST(History, OnlySessionsThatTestItCount) {
  WarningRow row = RowOf("N.");
  EXPECT_TRUE(row.Unproven());
  EXPECT_EQ(row.off_since, 1U);
  EXPECT_EQ(row.tested_since, 0U);
  EXPECT_EQ(output::RecurrenceText(row),
            "on in 1 of 2 sessions, first 2026-03-01T12:00:00Z; off in 1 session since, none put "
            "it to the test");
  row = RowOf("N.+");
  EXPECT_EQ(output::RecurrenceText(row),
            "on in 1 of 3 sessions, first 2026-03-01T12:00:00Z; off in 2 sessions since, put to "
            "the test in 1: too few to say how often it comes");
  row = RowOf("N.+++++");
  EXPECT_FALSE(row.Unproven());
  EXPECT_EQ(row.tested_since, 5U);
  EXPECT_EQ(output::RecurrenceText(row),
            "on in 1 of 7 sessions, first 2026-03-01T12:00:00Z; off in 6 sessions since, put to "
            "the test in 5: with 95 % confidence it comes in at most 46 % of such sessions");
  row = RowOf("N.+++++N");
  EXPECT_TRUE(row.OnNow());
  EXPECT_EQ(row.returns, 1U);
  EXPECT_EQ(
      output::RecurrenceText(row),
      "on in 2 of 8 sessions, first 2026-03-01T12:00:00Z, last 2026-03-08T12:00:00Z, came back "
      "1 time; on in the latest that knows it");
}

TEST(History, SilentInTheLatestSessionIsNotProven) {
  EXPECT_TRUE(RowOf("N+?").Unproven());
  EXPECT_TRUE(RowOf("+?").Unproven());
  EXPECT_TRUE(RowOf("N?").OnNow());  // nothing later says otherwise
  EXPECT_FALSE(RowOf("..").Unproven());
}

TEST(History, EveryReturnCounts) {
  EXPECT_EQ(RowOf("N+N+N").returns, 2U);
  EXPECT_EQ(RowOf("NNN").returns, 0U);
  EXPECT_EQ(RowOf("+N").returns, 0U);  // it came, but not back
  EXPECT_EQ(RowOf("nn").returns, 1U);  // off at the end of the first, on in the second
}

TEST(HistoryHeadline, SaysWhatIsOnAndWhatIsNotProven) {
  HistoryBuilder builder;
  builder.Add("a", Session('N', 0));
  builder.Add("b", Session('.', 1));
  EXPECT_EQ(output::HistoryHeadline(builder.Finish()),
            "0 of 1 warning was on when last known and 1 is not "
            "proven.");
}

}  // namespace
}  // namespace proofdrive::analysis
