// measured by its command line: noted, listed, taken away, and used by check, info and report.
#include <gmock/gmock.h>

#include <sstream>

#include "session/beside/measurements.h"
#include "session/writer.h"
#include "tests/support/matchers.h"
#include "tests/support/memory_files.h"
#include "tools/shell/command.h"

namespace proofdrive::tools {
namespace {

using ::testing::HasSubstr;
using testing::IsOk;
using ::testing::Not;
using ::testing::StartsWith;

const std::string kDefinitions = R"(
vehicle: invented
frames:
  insulation:
    id: 0x2C8
    length: 2
    signals:
      iso: {where: bytes 0-1 big, scale: 1, unit: kohm, role: isolation resistance}
)";

std::vector<std::uint8_t> Bytes(const std::string& text) { return {text.begin(), text.end()}; }

class MeasuredTest : public ::testing::Test {
 protected:
  // 2000 kohm for two minutes from 2023-11-14T22:13:20Z.
  void SetUp() override {
    session::Header header;
    header.definitions = {{"car.yaml", kDefinitions}};
    auto writer = session::Writer::Create(files_, "d/x.session", header);
    ASSERT_OK(writer);
    std::vector<Frame> frames;
    for (std::uint32_t i = 0; i < 120; ++i) {
      Frame frame;
      frame.time = WallFromNanoseconds(1'700'000'000'000'000'000 + i * 1'000'000'000LL);
      frame.id = 0x2C8;
      frame.length = 2;
      const std::uint32_t value = 2000 + i % 3;
      frame.data[0] = static_cast<std::uint8_t>(value >> 8);
      frame.data[1] = static_cast<std::uint8_t>(value & 0xFF);
      frames.push_back(frame);
    }
    ASSERT_OK((*writer)->Append(frames));
    ASSERT_OK((*writer)->Finish());
    session_ = *ReadWholeFile(files_, "d/x.session");
  }
  // It is never changed.
  void TearDown() override { EXPECT_EQ(*ReadWholeFile(files_, "d/x.session"), session_); }

  int Run(std::vector<const char*> words) {
    words.insert(words.begin(), "proofdrive");
    out_.str("");
    err_.str("");
    Environment environment{files_, out_, err_};
    return RunTool(static_cast<int>(words.size()), words.data(), environment);
  }
  int Measure(const char* what, const char* at) {
    return Run({"measured", what, "--at", at, "--session", "d/x.session", "--how",
                "insulation tester, 500 V, pack side"});
  }
  int Check() { return Run({"check", "d/x.session", "--set", "pack.working_voltage=400"}); }
  std::string out() const { return out_.str(); }
  std::string err() const { return err_.str(); }

  testing::MemoryFiles files_;
  std::string session_;
  std::ostringstream out_;
  std::ostringstream err_;
};

TEST_F(MeasuredTest, NotesListsAndTakesAway) {
  EXPECT_EQ(Measure("insulation 2.1 Mohm", "100"), 0) << err();
  EXPECT_THAT(out(), StartsWith("noted: 2023-11-14T22:15:00Z insulation 2.1 Mohm (insulation "
                                "tester, 500 V, pack side); it is"));
  EXPECT_THAT(out(), HasSubstr("Before any touch: shut the high voltage off"));
  EXPECT_EQ(Measure("12 V supply 12.6 V", "2023-11-14T22:14:00Z"), 0) << err();
  EXPECT_THAT(out(), Not(HasSubstr("Before any touch"))) << "no high voltage";
  EXPECT_EQ(Run({"measured", "--list", "--session", "d/x.session"}), 0);
  EXPECT_EQ(out(),
            "1  2023-11-14T22:15:00Z insulation 2.1 Mohm (insulation tester, 500 V, pack side)\n"
            "2  2023-11-14T22:14:00Z 12 V supply 12.6 V (insulation tester, 500 V, pack side)\n");
  EXPECT_EQ(Run({"measured", "--remove", "1", "--session", "d/x.session"}), 0);
  EXPECT_THAT(out(), StartsWith("taken away: 2023-11-14T22:15:00Z insulation 2.1 Mohm"));
  EXPECT_EQ(Run({"measured", "--remove", "2", "--session", "d/x.session"}), 2);
  EXPECT_EQ(err(),
            "proofdrive: --remove 2: this session has 1 measurement; see them with --list\n");
  EXPECT_EQ(Run({"measured", "--remove", "1", "--session", "d/x.session"}), 0);
  EXPECT_FALSE(files_.Exists("d/x.measured"));
  EXPECT_EQ(Run({"measured", "--list", "--session", "d/x.session"}), 0);
  EXPECT_EQ(out(), "No measurement is noted beside this session.\n");
}

TEST_F(MeasuredTest, MistakesStoreNothing) {
  EXPECT_EQ(Measure("insulation 2.1 V", "100"), 2);
  EXPECT_EQ(Measure("insulation 2.1 Mohm", "yesterday"), 2);
  EXPECT_EQ(Run({"measured", "insulation 2.1 Mohm", "--session", "d/x.session"}), 2);
  EXPECT_THAT(err(), HasSubstr("say when and with what it was measured"));
  EXPECT_EQ(Run({"measured", "--session", "d/x.session"}), 2);
  EXPECT_THAT(err(), HasSubstr("measured needs one of"));
  EXPECT_EQ(Run({"measured", "--list", "--remove", "1", "--session", "d/x.session"}), 2);
  EXPECT_FALSE(files_.Exists("d/x.measured"));
}

TEST_F(MeasuredTest, OutsideOfTheRecordingItIsNotedWithAWord) {
  EXPECT_EQ(Measure("insulation 2.1 Mohm", "2023-11-14T23:00:00Z"), 0);
  EXPECT_THAT(err(), HasSubstr("that is not within the recording (2023-11-14T22:13:20Z to"));
  EXPECT_TRUE(files_.Exists("d/x.measured"));
}

TEST_F(MeasuredTest, CheckUsesIt) {
  Check();
  EXPECT_THAT(out(), HasSubstr("if the scale of iso is right: it is a\n"));
  ASSERT_EQ(Measure("insulation 2.1 Mohm", "100"), 0);
  Check();
  EXPECT_THAT(out(), Not(HasSubstr("a guess")));
  EXPECT_THAT(out(), HasSubstr("Measured by hand:\n  - what was measured at 2023-11-14T22:15:00Z"));
  EXPECT_THAT(out(), HasSubstr("confirms iso"));
}

TEST_F(MeasuredTest, WhatItSettlesIsSettledForVerdictsToo) {
  files_.Put("w.yaml", Bytes(kDefinitions + R"(
warnings:
  low: {text: Low, when: iso < 100, severity: stop, known from: document}
)"));
  const auto compare = [&] {
    return Run({"compare", "d/x.session", "d/x.session", "--definitions", "w.yaml"});
  };
  compare();
  EXPECT_THAT(out(), HasSubstr("1 verdict rests on what is only a guess"));
  ASSERT_EQ(Measure("insulation 2.1 Mohm", "100"), 0);
  compare();
  EXPECT_THAT(out(), StartsWith("The only warning was off in both sessions.\n"));
  EXPECT_THAT(out(), Not(HasSubstr("guess")));
}

TEST_F(MeasuredTest, InfoAndReportListIt) {
  ASSERT_EQ(Measure("insulation 2.1 Mohm", "100"), 0);
  ASSERT_EQ(Run({"info", "d/x.session"}), 0);
  EXPECT_THAT(out(), HasSubstr("Measured     2023-11-14T22:15:00Z insulation 2.1 Mohm"));
  ASSERT_EQ(Run({"info", "d/x.session", "--json"}), 0);
  EXPECT_THAT(out(), HasSubstr("\"how\": \"insulation tester, 500 V, pack side\""));
  Run({"report", "d/x.session", "--out", "r.html"});
  const auto html = ReadWholeFile(files_, "r.html");
  ASSERT_OK(html);
  EXPECT_THAT(*html, HasSubstr(">insulation 2.1 Mohm</td>"));
}

TEST_F(MeasuredTest, AForeignFileIsToldAndLeft) {
  files_.Put("d/x.measured", {'m', 'i', 'n', 'e'});
  EXPECT_EQ(Measure("insulation 2.1 Mohm", "100"), 2);
  EXPECT_THAT(err(), HasSubstr("d/x.measured is no file of measurements"));
  Check();
  EXPECT_THAT(err(), HasSubstr("measurements by hand are not used"));
  EXPECT_EQ(*ReadWholeFile(files_, "d/x.measured"), "mine");
}

}  // namespace
}  // namespace proofdrive::tools
