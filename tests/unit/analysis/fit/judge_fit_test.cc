#include "analysis/fit/judge_fit.h"

#include <gmock/gmock.h>

#include "analysis/fit/measure.h"
#include "core/base/posix_files.h"
#include "decoders/language/loader.h"
#include "tests/support/matchers.h"
#include "tests/support/memory_files.h"
#include "tests/support/places.h"
#include "tests/support/session_script.h"

namespace proofdrive::analysis {
namespace {

using ::testing::ElementsAre;
using ::testing::EndsWith;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::Pair;
using ::testing::SizeIs;

constexpr char kSession[] = "channel 0 pack\nstart 2026-03-01T12:00:00Z\nname n\n";

class Fit : public ::testing::Test {
 protected:
  SessionFit Measure(const std::string& definitions, const std::string& frames) {
    const decoders::SourceText source{"car.yaml", "byte order: big\n" + definitions};
    const auto loaded = decoders::LoadDefinitions(std::span(&source, 1));
    EXPECT_TRUE(loaded.ok()) << decoders::FormatDiagnostics(loaded.diagnostics);
    const std::string path = std::to_string(sessions_++) + ".session";
    EXPECT_OK(testing::WriteSession(files_, path, kSession + frames));
    auto reader = session::Reader::Open(files_, path);
    EXPECT_OK(reader);
    auto fit = MeasureFit(**reader, loaded.definitions);
    EXPECT_OK(fit);
    return *fit;
  }

  static std::vector<std::pair<FitSeverity, FitKind>> Kinds(const SessionFit& fit) {
    std::vector<std::pair<FitSeverity, FitKind>> kinds;
    for (const FitFinding& one : JudgeFit(fit).findings) kinds.emplace_back(one.severity, one.kind);
    return kinds;
  }

  testing::MemoryFiles files_;
  int sessions_ = 0;
};

// One frame for each value, 100 ms apart, from 0 s on.
std::string Frames(const std::vector<std::string>& payloads) {
  std::string text;
  for (std::size_t i = 0; i < payloads.size(); ++i) {
    text += "at " + std::to_string(i * 100) + " ms  pack 120  " + payloads[i] + "\n";
  }
  return text;
}

constexpr char kXor[] =
    "frames: {f: {id: 0x120, signals: {v: {where: byte 0}}, checksum: {where: byte 1, kind: xor, "
    "over: byte 0}}}";

TEST_F(Fit, ChecksumThatFailsInHalfOfTheFramesIsANotice) {
  const SessionFit fit = Measure(kXor, Frames({"01 01", "02 02", "03 00", "04 00"}));
  EXPECT_EQ(fit.defined[0].decoded, 2U);
  EXPECT_EQ(fit.defined[0].checksum_faults, 2U);
  EXPECT_THAT(Kinds(fit), ElementsAre(Pair(FitSeverity::kNotice, FitKind::kChecksumFails)));
  EXPECT_EQ(JudgeFit(fit).findings[0].seen, "the checksum fails in 2 of 4 frames (50 %)");
  EXPECT_EQ(JudgeFit(fit).findings[0].try_next,
            "the definition fits most frames: the bus or the sender has faults");
}

TEST_F(Fit, ChecksumThatFailsInMoreThanHalfIsAProblem) {
  const SessionFit fit = Measure(kXor, Frames({"01 01", "02 02", "03 00", "04 00", "05 00"}));
  EXPECT_THAT(Kinds(fit), ElementsAre(Pair(FitSeverity::kProblem, FitKind::kChecksumFails)));
  EXPECT_EQ(JudgeFit(fit).do_not_fit, 1U);
}

TEST_F(Fit, FrameTooShortForItsChecksumIsToldOfOnce) {
  const SessionFit fit = Measure(kXor, Frames({"01", "02", "03"}));
  EXPECT_EQ(fit.defined[0].too_short, 3U);
  EXPECT_EQ(fit.defined[0].decoded, 0U);
  EXPECT_THAT(Kinds(fit), ElementsAre(Pair(FitSeverity::kProblem, FitKind::kTooShort)));
}

TEST_F(Fit, SomeShortFramesAreANotice) {
  const SessionFit fit = Measure("frames: {f: {id: 0x120, signals: {v: {where: byte 1}}}}",
                                 Frames({"01 01", "02 02", "03"}));
  EXPECT_THAT(Kinds(fit), ElementsAre(Pair(FitSeverity::kNotice, FitKind::kTooShort)));
}

TEST_F(Fit, LongerFrameThanStatedIsAWrongLength) {
  const SessionFit fit =
      Measure("frames: {f: {id: 0x120, length: 1, signals: {v: {where: byte 0}}}}",
              Frames({"01 01", "02 02", "03 03"}));
  EXPECT_EQ(fit.defined[0].wrong_length, 3U);
  EXPECT_EQ(fit.defined[0].decoded, 3U);
  EXPECT_THAT(Kinds(fit), ElementsAre(Pair(FitSeverity::kProblem, FitKind::kWrongLength)));
}

TEST_F(Fit, CounterIsJudgedAmongFramesWhoseChecksumHolds) {
  const std::string text =
      "frames: {f: {id: 0x120, counter: {where: byte 0, counts to: 15}, checksum: {where: byte 1, "
      "kind: xor, over: byte 0}}}";
  const SessionFit fit = Measure(text, Frames({"01 01", "05 05", "09 09", "01 00"}));
  EXPECT_EQ(fit.defined[0].counter_faults, 2U);
  EXPECT_THAT(Kinds(fit), ElementsAre(Pair(FitSeverity::kProblem, FitKind::kCounterFails),
                                      Pair(FitSeverity::kNotice, FitKind::kChecksumFails)));
}

TEST_F(Fit, RangeIsJudgedAmongValuesThatAreThere) {
  const SessionFit fit =
      Measure("frames: {f: {id: 0x120, signals: {v: {where: byte 0, range: 0..9, absent: 0xFF}}}}",
              Frames({"FF", "FF", "FF", "01", "20", "30"}));
  EXPECT_EQ(fit.signals[0].values, 6U);
  EXPECT_EQ(fit.signals[0].absent, 3U);
  EXPECT_EQ(fit.signals[0].out_of_range, 2U);
  EXPECT_EQ(fit.signals[0].lowest, 1);
  EXPECT_EQ(fit.signals[0].highest, 48);
  EXPECT_THAT(Kinds(fit), ElementsAre(Pair(FitSeverity::kProblem, FitKind::kOutOfRange)));
}

TEST_F(Fit, ValueWithTheHighestBitSetMayBeNegative) {
  const std::string frames = Frames({"01", "02", "03", "FD"});
  const auto advice = [&](const std::string& keys) {
    const SessionFit fit =
        Measure("frames: {f: {id: 0x120, signals: {v: {where: byte 0, range: -9..9" + keys + "}}}}",
                frames);
    const auto findings = JudgeFit(fit).findings;
    return findings.empty() ? "" : findings[0].try_next;
  };
  EXPECT_THAT(advice(""), EndsWith("; a number below 0 needs \"signed: yes\""));
  EXPECT_EQ(advice(", signed: yes"), "");
  EXPECT_THAT(advice(", scale: 10"), HasSubstr("check the bytes"));  // most are out of range
  EXPECT_THAT(advice(", type: integer, absent: 0xFD"), "");
}

TEST_F(Fit, DocumentNamesEveryKindOfFinding) {
  PosixFiles files;
  const auto document = ReadWholeFile(files, testing::SourcePath("docs/definitions.md"));
  ASSERT_OK(document);
  int kinds = 0;
  for (int kind = 0; !FitKindName(static_cast<FitKind>(kind)).empty(); ++kind, ++kinds) {
    const std::string name(FitKindName(static_cast<FitKind>(kind)));
    EXPECT_TRUE(document->find("| " + name) != std::string::npos ||
                document->find(", " + name) != std::string::npos)
        << name;
  }
  EXPECT_EQ(kinds, 13);
}

TEST_F(Fit, NumberWithAFewNamedValuesIsNoEnumeration) {
  const std::string frames = Frames({"01", "02", "03"});
  const std::string head = "frames: {f: {id: 0x120, signals: {v: {where: byte 0, states: {1: off}";
  EXPECT_THAT(Kinds(Measure(head + ", unit: V}}}}", frames)), IsEmpty());
  const SessionFit fit = Measure(head + "}}}}", frames);
  EXPECT_THAT(fit.signals[0].unnamed, ElementsAre(Pair(2, 1), Pair(3, 1)));
  EXPECT_THAT(Kinds(fit), ElementsAre(Pair(FitSeverity::kProblem, FitKind::kUnknownStates)));
}

TEST_F(Fit, ManyUnnamedStatesAreCountedAndTheFirstOnesKept) {
  std::vector<std::string> payloads;
  for (int i = 0; i < 12; ++i) payloads.push_back((i < 10 ? "0" : "1") + std::to_string(i % 10));
  const SessionFit fit =
      Measure("frames: {f: {id: 0x120, signals: {v: {where: byte 0, states: {0: off}}}}}",
              Frames(payloads));
  EXPECT_EQ(fit.signals[0].unnamed_values, 11U);
  EXPECT_THAT(fit.signals[0].unnamed, SizeIs(8));
}

TEST_F(Fit, PeriodDiffersBeyondTheRatioOfTheTrafficComparison) {
  const std::string frames = Frames({"01", "02", "03", "04", "05", "06"});  // one every 100 ms
  const auto kinds = [&](const std::string& every) {
    return Kinds(Measure(
        "frames: {f: {id: 0x120, every: " + every + ", signals: {v: {where: byte 0}}}}", frames));
  };
  EXPECT_THAT(kinds("81 ms"), IsEmpty());
  EXPECT_THAT(kinds("124 ms"), IsEmpty());
  EXPECT_THAT(kinds("79 ms"), ElementsAre(Pair(FitSeverity::kNotice, FitKind::kPeriodDiffers)));
  EXPECT_THAT(kinds("126 ms"), ElementsAre(Pair(FitSeverity::kNotice, FitKind::kPeriodDiffers)));
}

TEST_F(Fit, AFewFramesSayNothingAboutThePeriod) {
  EXPECT_THAT(Kinds(Measure("frames: {f: {id: 0x120, every: 1 s, signals: {v: {where: byte 0}}}}",
                            Frames({"01", "02", "03", "04"}))),
              IsEmpty());
}

TEST_F(Fit, ConstantAndAbsentSignalsAreNotices) {
  const SessionFit fit = Measure(
      "frames: {f: {id: 0x120, signals: {v: {where: byte 0}, w: {where: byte 1, absent: 255}}}}",
      Frames({"01 FF", "01 FF"}));
  EXPECT_THAT(Kinds(fit), ElementsAre(Pair(FitSeverity::kNotice, FitKind::kNeverChanges),
                                      Pair(FitSeverity::kNotice, FitKind::kAlwaysAbsent)));
}

TEST_F(Fit, OneValueCannotChange) {
  EXPECT_THAT(
      Kinds(Measure("frames: {f: {id: 0x120, signals: {v: {where: byte 0}}}}", Frames({"01"}))),
      IsEmpty());
}

TEST_F(Fit, ElementsThatDifferFromEachOtherDoNotMakeASeriesChange) {
  const std::string text =
      "frames: {f: {id: 0x120, series: {v: {first: byte 0, each: 1 bytes, count: 2}}}}";
  EXPECT_FALSE(Measure(text, Frames({"01 02", "01 02"})).signals[0].changes);
  EXPECT_TRUE(Measure(text, Frames({"01 02", "01 03"})).signals[0].changes);
}

TEST_F(Fit, NotDescribedComesMostFrequentFirstWithoutDiagnosis) {
  const SessionFit fit = Measure(
      "control units: {u: {request: 0x7E0, answer: 0x7E8}}\n"
      "frames: {f: {id: 0x120, signals: {v: {where: byte 0}}}}",
      "at 0 s pack 120 01\nat 1 s pack 7E0 01\nat 2 s pack 7E8 01\n"
      "at 3 s pack 300 01\nat 4 s pack 400 01\nat 5 s pack 400 01 02\n");
  ASSERT_THAT(fit.not_described, SizeIs(2));
  EXPECT_EQ(fit.not_described[0].id, 0x400U);
  EXPECT_THAT(fit.not_described[0].lengths, ElementsAre(Pair(1, 1), Pair(2, 1)));
  EXPECT_EQ(fit.not_described[1].id, 0x300U);
}

TEST_F(Fit, NothingSeenAtAllIsAProblemEvenOnABusThatWasNotRecorded) {
  const std::string text =
      "buses: {drive: {bitrate: 500000}}\n"
      "frames: {f: {bus: drive, id: 0x120, signals: {v: {where: byte 0}}}}";
  const SessionFit fit = Measure(text, "at 0 s pack 300 01\n");
  EXPECT_THAT(Kinds(fit), ElementsAre(Pair(FitSeverity::kProblem, FitKind::kNeverSeen)));
  EXPECT_EQ(JudgeFit(fit).never_seen, 1U);
}

TEST_F(Fit, EmptySession) {
  const SessionFit fit = Measure("frames: {f: {id: 0x120, signals: {v: {where: byte 0}}}}", "");
  EXPECT_EQ(fit.frames, 0U);
  EXPECT_THAT(Kinds(fit), ElementsAre(Pair(FitSeverity::kProblem, FitKind::kNeverSeen)));
}

TEST(PeriodWords, ChangesUnitAtOneSecond) {
  EXPECT_EQ(PeriodWords(Duration(0)), "");
  EXPECT_EQ(PeriodWords(std::chrono::microseconds(9'960)), "9.96 ms");
  EXPECT_EQ(PeriodWords(std::chrono::milliseconds(999)), "999 ms");
  EXPECT_EQ(PeriodWords(std::chrono::milliseconds(1000)), "1 s");
  EXPECT_EQ(PeriodWords(std::chrono::milliseconds(2500)), "2.5 s");
}

TEST_F(Fit, FrameThatEndsBeforeWhatItsPageCarriesIsTooShort) {
  const SessionFit fit = Measure(
      "frames: {f: {id: 0x120, page: {where: byte 0}, pages: {"
      "1: {signals: {a: {where: byte 3}}}, "
      "2: {page: {where: byte 1}, pages: {7: {signals: {b: {where: bytes 2-3}}}}}, "
      "3: {signals: {c: {where: byte 1}}}}}}",
      Frames({"01 02 03", "01 02 03 04", "01 02", "02 07 03", "02 08 03", "02"}));
  EXPECT_EQ(fit.signals[0].too_short, 2U);
  EXPECT_EQ(fit.signals[0].values, 1U);
  EXPECT_EQ(fit.signals[1].too_short, 1U) << "another inner page, or none, is not counted";
  EXPECT_THAT(Kinds(fit), ElementsAre(Pair(FitSeverity::kProblem, FitKind::kTooShort),
                                      Pair(FitSeverity::kProblem, FitKind::kTooShort),
                                      Pair(FitSeverity::kNotice, FitKind::kNoValue)));
  EXPECT_EQ(JudgeFit(fit).findings[0].seen,
            "2 frames of its page too short; lengths seen: 1, 2, 3, 4 bytes");
  EXPECT_EQ(JudgeFit(fit).findings[0].defined, "on page 1, uses bytes up to 3");
}

TEST_F(Fit, PartlyFilledLastPageOfASeriesIsNotTooShort) {
  const std::string definitions =
      "frames: {f: {id: 0x120, page: {where: byte 0}, series: {"
      "c: {first: byte 1, each: 2 bytes, per page: 3, count: 4}}}}";
  EXPECT_THAT(Kinds(Measure(definitions, Frames({"00 00 01 00 02 00 03", "01 00 04"}))), IsEmpty());
  const SessionFit fit = Measure(definitions, Frames({"00 00 01 00 02", "01 00 04"}));
  EXPECT_EQ(fit.signals[0].too_short, 1U) << "a frame counts once, however many elements it lacks";
}

TEST(FitTests, HowManyContentsAreNoAccident) {
  EXPECT_EQ(FewestToTest(4), 5U);
  EXPECT_EQ(FewestToTest(8), 3U);
  EXPECT_EQ(FewestToTest(16), 2U);
  EXPECT_EQ(FewestToTest(32), 2U);
}

TEST_F(Fit, ConstantContentDoesNotTestAChecksum) {
  const SessionFit constant = Measure(kXor, Frames({"01 01", "01 01", "01 01", "01 01"}));
  EXPECT_EQ(constant.defined[0].checksum_contents, 1U);
  EXPECT_EQ(JudgeFit(constant).not_tested, 1U);
  EXPECT_THAT(Kinds(constant),
              ::testing::Contains(Pair(FitSeverity::kNotice, FitKind::kNotTested)));
  const SessionFit changing = Measure(kXor, Frames({"01 01", "02 02", "03 03", "01 01"}));
  EXPECT_EQ(changing.defined[0].checksum_contents, 3U);
  EXPECT_EQ(JudgeFit(changing).not_tested, 0U);
}

}  // namespace
}  // namespace proofdrive::analysis
