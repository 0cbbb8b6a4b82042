// Every combination of what the before-session and the after-session can show, with and without a
// proof. The rows are those of the table in docs/verdicts.md.
#include "analysis/verdicts/verdict.h"

#include <gtest/gtest.h>

#include <map>
#include <vector>

namespace proofdrive::analysis {
namespace {

using decoders::WarningHistory;
using decoders::WarningStateKind;
using std::chrono::seconds;

constexpr auto kUnknown = WarningStateKind::kUnknown;
constexpr auto kOff = WarningStateKind::kOff;
constexpr auto kOn = WarningStateKind::kOn;

constexpr auto kS = Verdict::kStillOn;
constexpr auto kC = Verdict::kCameBack;
constexpr auto kN = Verdict::kNew;
constexpr auto kP = Verdict::kNotProven;
constexpr auto kE = Verdict::kNoEvidence;
constexpr auto kX = Verdict::kCleared;
constexpr auto kO = Verdict::kOffInBoth;

// Each state lasts 30 s.
WarningEvidence Seen(const std::vector<WarningStateKind>& states, bool proven = false) {
  WarningHistory history;
  WallTime now;
  for (const WarningStateKind kind : states) {
    history.spans.push_back({kind, now, now + seconds(30)});
    now += seconds(30);
  }
  history.proven = proven;
  WarningSource source;
  source.bus_end = now - WallTime();
  return EvidenceOf(history, source, WallTime());
}

const std::map<std::string, WarningEvidence>& Befores() {
  static const std::map<std::string, WarningEvidence> all = {
      {"on at end", Seen({kOff, kOn})}, {"on throughout", Seen({kOn})},
      {"was on", Seen({kOn, kOff})},    {"on, then silent", Seen({kOn, kUnknown})},
      {"off throughout", Seen({kOff})}, {"off, partly unknown", Seen({kUnknown, kOff, kUnknown})},
      {"unknown", Seen({kUnknown})},    {"not defined", NotDefined()},
  };
  return all;
}

// The rows of one kind of before-session give the same verdicts.
enum class BeforeKind { kWasOn, kOnlyOff, kNothing };

BeforeKind KindOf(const std::string& before) {
  if (before == "off throughout" || before == "off, partly unknown") return BeforeKind::kOnlyOff;
  if (before == "unknown" || before == "not defined") return BeforeKind::kNothing;
  return BeforeKind::kWasOn;
}

struct Row {
  std::string after;
  std::vector<WarningStateKind> states;
  // Verdicts with the proof met / not met or none written.
  Verdict was_on_proven, was_on_unproven;
  Verdict only_off_proven, only_off_unproven;
  Verdict nothing_proven, nothing_unproven;
};

const std::vector<Row>& Rows() {
  // clang-format off
  static const std::vector<Row> rows = {
      //                                               before: was on   only off   says nothing
      {"on throughout",           {kOn},                      kS, kS,   kN, kN,   kS, kS},
      {"unknown, then on",        {kUnknown, kOn},            kS, kS,   kN, kN,   kS, kS},
      {"on, then silent",         {kOn, kUnknown},            kS, kS,   kN, kN,   kS, kS},
      {"on, unknown, on",         {kOn, kUnknown, kOn},       kS, kS,   kN, kN,   kS, kS},
      {"off, then on",            {kOff, kOn},                kC, kC,   kN, kN,   kN, kN},
      {"off, unknown, on",        {kOff, kUnknown, kOn},      kC, kC,   kN, kN,   kN, kN},
      {"off, on, silent",         {kOff, kOn, kUnknown},      kC, kC,   kN, kN,   kN, kN},
      {"off, on, off",            {kOff, kOn, kOff},          kC, kC,   kN, kN,   kN, kN},
      {"on, off, on",             {kOn, kOff, kOn},           kC, kC,   kN, kN,   kC, kC},
      {"on, off, on, off",        {kOn, kOff, kOn, kOff},     kC, kC,   kN, kN,   kC, kC},
      {"on, then off",            {kOn, kOff},                kX, kP,   kN, kN,   kX, kP},
      {"on, off, silent",         {kOn, kOff, kUnknown},      kE, kE,   kN, kN,   kE, kE},
      {"off throughout",          {kOff},                     kX, kP,   kO, kO,   kE, kP},
      {"unknown, then off",       {kUnknown, kOff},           kX, kP,   kO, kO,   kE, kP},
      {"off, unknown, off",       {kOff, kUnknown, kOff},     kX, kP,   kO, kO,   kE, kP},
      {"off, then silent",        {kOff, kUnknown},           kE, kE,   kE, kE,   kE, kE},
      {"unknown throughout",      {kUnknown},                 kE, kE,   kE, kE,   kE, kE},
      {"nothing at all",          {},                         kE, kE,   kE, kE,   kE, kE},
  };
  // clang-format on
  return rows;
}

Verdict Expected(const Row& row, BeforeKind kind, bool proven) {
  switch (kind) {
    case BeforeKind::kWasOn:
      return proven ? row.was_on_proven : row.was_on_unproven;
    case BeforeKind::kOnlyOff:
      return proven ? row.only_off_proven : row.only_off_unproven;
    case BeforeKind::kNothing:
      return proven ? row.nothing_proven : row.nothing_unproven;
  }
  return Verdict::kNoEvidence;
}

TEST(Judge, EveryCombination) {
  for (const Row& row : Rows()) {
    for (const auto& [name, before] : Befores()) {
      for (const bool proven : {false, true}) {
        SCOPED_TRACE("before " + name + ", after " + row.after + (proven ? ", proven" : ""));
        EXPECT_EQ(VerdictName(Judge(before, Seen(row.states, proven))),
                  VerdictName(Expected(row, KindOf(name), proven)));
      }
    }
  }
}

TEST(Judge, WarningThatTheAfterSessionDoesNotDefineHasNoEvidence) {
  for (const auto& [name, before] : Befores()) {
    EXPECT_EQ(Judge(before, NotDefined()), Verdict::kNoEvidence) << name;
  }
}

// The rule that matters most, stated on its own over all sequences of up to four states.
TEST(Judge, ClearedTakesSetBeforeAndOffAndKnownAtTheEndAndProven) {
  const std::vector<WarningStateKind> kinds = {kUnknown, kOff, kOn};
  std::vector<std::vector<WarningStateKind>> sequences = {{}};
  for (std::size_t i = 0; i < sequences.size(); ++i) {
    if (sequences[i].size() == 4) continue;
    for (const WarningStateKind kind : kinds) {
      auto longer = sequences[i];
      longer.push_back(kind);
      sequences.push_back(longer);
    }
  }
  ASSERT_EQ(sequences.size(), 1U + 3 + 9 + 27 + 81);
  int cleared = 0;
  for (const auto& first : sequences) {
    for (const auto& second : sequences) {
      for (const bool proven : {false, true}) {
        if (Judge(Seen(first), Seen(second, proven)) != Verdict::kCleared) continue;
        ++cleared;
        EXPECT_TRUE(proven);
        ASSERT_FALSE(second.empty());
        EXPECT_EQ(second.back(), kOff);
        const bool was_set = std::count(first.begin(), first.end(), kOn) > 0 ||
                             std::count(second.begin(), second.end(), kOn) > 0;
        EXPECT_TRUE(was_set);
      }
    }
  }
  EXPECT_GT(cleared, 0);
}

TEST(Verdict, NamesAreThoseOfTheContract) {
  std::vector<std::string_view> names;
  for (const Verdict verdict : kAllVerdicts) names.push_back(VerdictName(verdict));
  EXPECT_EQ(names, (std::vector<std::string_view>{"still on", "came back", "new", "not proven",
                                                  "no evidence", "cleared", "off in both"}));
}

TEST(Verdict, EachIsOpenOrUnprovenOrSettled) {
  for (const Verdict verdict : kAllVerdicts) {
    EXPECT_FALSE(IsOpen(verdict) && IsUnproven(verdict)) << VerdictName(verdict);
  }
  EXPECT_FALSE(IsOpen(Verdict::kCleared) || IsUnproven(Verdict::kCleared));
  EXPECT_FALSE(IsOpen(Verdict::kOffInBoth) || IsUnproven(Verdict::kOffInBoth));
}

}  // namespace
}  // namespace proofdrive::analysis
