#include "analysis/stretches/check_session.h"

#include <gmock/gmock.h>

#include "analysis/checks/checks.h"
#include "decoders/language/loader.h"
#include "session/writer.h"
#include "tests/support/matchers.h"
#include "tests/support/memory_files.h"

namespace proofdrive::analysis {
namespace {

using std::chrono::milliseconds;
using std::chrono::seconds;
using ::testing::Contains;
using ::testing::HasSubstr;

constexpr char kCar[] =
    "byte order: big\nfacts: {pack.working_voltage: 400}\nframes:\n"
    "  f: {id: 1, every: 100 ms, signals: {"
    "isolation: {where: bytes 0-1, unit: kohm, role: isolation resistance},"
    "supply: {where: byte 2, scale: 0.1, unit: V, role: supply voltage},"
    "contactor: {where: byte 3, states: {0: open, 1: closed}, role: contactor state}}}\n";

constexpr int kSeconds = 3000;
constexpr double kDip = 1500;  // s

class CheckSessionTest : public ::testing::Test {
 protected:
  CheckSessionTest() {
    const decoders::SourceText source{"car.yaml", kCar};
    set_.definitions = decoders::LoadDefinitions(std::span(&source, 1)).definitions;
    set_.origin = DefinitionOrigin::kGiven;
  }

  // Ten frames a second; for `dip_s` seconds the supply is at 7 V.
  std::unique_ptr<session::Reader> Write(double dip_s) {
    session::WriterOptions options;
    options.frames_per_chunk = 500;
    options.journal = false;
    auto writer = session::Writer::Create(files_, "a.session", {}, options);
    EXPECT_OK(writer);
    for (int i = 0; i < 10 * kSeconds; ++i) {
      const double at = i / 10.0;
      Frame frame;
      frame.time = WallTime(seconds(1'700'000'000)) + milliseconds(100 * i);
      frame.id = 1;
      frame.length = 8;
      const int kohm = 3000 + i % 7;
      frame.data[0] = static_cast<std::uint8_t>(kohm >> 8);
      frame.data[1] = static_cast<std::uint8_t>(kohm);
      frame.data[2] = at >= kDip && at < kDip + dip_s ? 70 : 140;
      frame.data[3] = 1;
      EXPECT_OK((*writer)->Append({&frame, 1}));
    }
    EXPECT_OK((*writer)->Finish());
    auto reader = session::Reader::Open(files_, "a.session");
    EXPECT_OK(reader);
    return std::move(*reader);
  }

  std::vector<CheckResult> Check(session::Reader& reader, const StretchLimits& limits) const {
    CheckTaker taker(reader, set_, {}, {}, limits);
    Pass pass(reader, set_.definitions);
    pass.Add(taker);
    EXPECT_OK(pass.Run());
    return taker.Finish();
  }

  static const CheckResult& Of(const std::vector<CheckResult>& results, std::string_view name) {
    for (const CheckResult& result : results) {
      if (result.name == name) return result;
    }
    ADD_FAILURE() << "no " << name;
    return results.front();
  }

  testing::MemoryFiles files_;
  DefinitionSet set_;
};

void ExpectSame(const std::vector<CheckResult>& found, const std::vector<CheckResult>& expected) {
  ASSERT_EQ(found.size(), expected.size());
  for (std::size_t i = 0; i < found.size(); ++i) {
    EXPECT_EQ(found[i].status, expected[i].status) << found[i].name;
    EXPECT_EQ(found[i].FirstSentence(), expected[i].FirstSentence());
    EXPECT_EQ(found[i].findings, expected[i].findings) << found[i].name;
    EXPECT_EQ(found[i].missing, expected[i].missing) << found[i].name;
    ASSERT_EQ(found[i].figures.size(), expected[i].figures.size()) << found[i].name;
    for (std::size_t k = 0; k < found[i].figures.size(); ++k) {
      EXPECT_EQ(found[i].figures[k].value, expected[i].figures[k].value) << found[i].name;
    }
  }
}

TEST_F(CheckSessionTest, WhatFitsIsJudgedAsEver) {
  const auto reader = Write(0);
  const auto expected = RunChecks(*reader, set_, {});
  ASSERT_OK(expected);
  ExpectSame(Check(*reader, {}), *expected);
  const auto whole = CheckSession(*reader, set_, {});
  ASSERT_OK(whole);
  ExpectSame(*whole, *expected);
}

TEST_F(CheckSessionTest, WithoutDefinitionsNothingCanBeTold) {
  const auto reader = Write(0);
  set_.definitions = nullptr;
  const auto results = CheckSession(*reader, set_, {});
  ASSERT_OK(results);
  EXPECT_EQ(results->size(), 2 + AllChecks().size());
  EXPECT_FALSE(AnyOutside(*results));
}

// Half a minute in fifty: found, and said when.
TEST_F(CheckSessionTest, AFaultOfAMomentIsFoundInALongRecording) {
  const auto reader = Write(30);
  const StretchLimits limits{5000, 5000, 60};
  const CheckResult supply = Of(Check(*reader, limits), "supply");
  EXPECT_EQ(supply.status, CheckStatus::kOutside) << supply.summary;
  EXPECT_THAT(supply.summary, HasSubstr("between "));
  EXPECT_THAT(supply.findings, Contains(HasSubstr("stretches of it were judged")));
}

TEST_F(CheckSessionTest, AHealthyLongRecordingIsWithinLimits) {
  const auto reader = Write(0);
  const StretchLimits limits{8000, 8000, 60};
  const auto results = Check(*reader, limits);
  EXPECT_FALSE(AnyOutside(results));
  for (const char* name : {"supply", "insulation"}) {
    const CheckResult& result = Of(results, name);
    EXPECT_EQ(result.status, CheckStatus::kWithin) << result.summary;
    EXPECT_THAT(result.findings, Contains(HasSubstr("stretches of it were judged"))) << name;
  }
}

// What happens at a cut is in the stretch before it or in the one behind it.
TEST_F(CheckSessionTest, NoPlaceOfAFaultIsMissed) {
  const auto reader = Write(8);
  for (std::size_t most = 3000; most < 12'000; most += 700) {
    const CheckResult supply = Of(Check(*reader, {most, most, 60}), "supply");
    EXPECT_NE(supply.status, CheckStatus::kWithin) << most << ": " << supply.summary;
  }
}

}  // namespace
}  // namespace proofdrive::analysis
