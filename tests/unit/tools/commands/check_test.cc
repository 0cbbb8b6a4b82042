// check by its command line: results, messages, exit codes.
#include <gmock/gmock.h>

#include <nlohmann/json.hpp>
#include <sstream>

#include "session/writer.h"
#include "tests/support/matchers.h"
#include "tests/support/memory_files.h"
#include "tools/shell/command.h"

namespace proofdrive::tools {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;

const std::string kDefinitions = R"(
vehicle: invented
frames:
  insulation:
    id: 0x2C8
    length: 2
    signals:
      iso: {where: bytes 0-1 big, scale: 1, unit: kohm, role: isolation resistance}
)";

class Check : public ::testing::Test {
 protected:
  int Run(std::vector<std::string> words) {
    words.insert(words.begin(), "check");
    return RunCommand(std::move(words));
  }

  int RunCommand(std::vector<std::string> words) {
    out_.str("");
    err_.str("");
    words.insert(words.begin(), "proofdrive");
    std::vector<const char*> argv;
    for (const std::string& word : words) argv.push_back(word.c_str());
    Environment environment{files_, out_, err_, false};
    return RunTool(static_cast<int>(argv.size()), argv.data(), environment);
  }

  // One reading of about `kohm` a second for two minutes.
  void Put(const std::string& path, std::uint32_t kohm, bool with_definitions = true, int day = 0) {
    session::Header header;
    if (with_definitions) header.definitions = {{"car.yaml", kDefinitions + facts_}};
    auto writer = session::Writer::Create(files_, path, header);
    ASSERT_OK(writer);
    std::vector<Frame> frames;
    for (std::uint32_t i = 0; i < 120; ++i) {
      Frame frame;
      frame.time =
          WallFromNanoseconds(1'700'000'000'000'000'000 + (i + 86'400LL * day) * 1'000'000'000LL);
      frame.id = 0x2C8;
      frame.length = 2;
      const std::uint32_t value = kohm + i % 3;
      frame.data[0] = static_cast<std::uint8_t>(value >> 8);
      frame.data[1] = static_cast<std::uint8_t>(value & 0xFF);
      frames.push_back(frame);
    }
    ASSERT_OK((*writer)->Append(frames));
    ASSERT_OK((*writer)->Finish());
  }

  std::string out() const { return out_.str(); }
  std::string err() const { return err_.str(); }

  std::string facts_;  // added to the definitions
  testing::MemoryFiles files_;
  std::ostringstream out_;
  std::ostringstream err_;
};

TEST_F(Check, OutsideLimitsEndsWithOne) {
  Put("wet.session", 30);
  EXPECT_EQ(Run({"wet.session", "--set", "pack.working_voltage=450"}), 1) << err();
  EXPECT_THAT(out(), HasSubstr("is below 100 ohm/V, the least UN R100 allows at all"));
  EXPECT_THAT(out(), HasSubstr("Before you touch, charge or drive:"));
}

TEST_F(Check, WhatCannotBeToldEndsWithThree) {
  Put("dry.session", 2000);
  Run({"dry.session", "--set", "pack.working_voltage=450"});
  EXPECT_THAT(out(), HasSubstr("insulation  within limits"));
  EXPECT_EQ(Run({"dry.session"}), 3);
  EXPECT_THAT(out(), HasSubstr("set pack.working_voltage"));
}

// Stated once in the definition file, a fact serves every command; --set goes before it.
TEST_F(Check, FactsOfTheDefinitionFile) {
  facts_ = "facts: {pack.working_voltage: 450}";
  Put("wet.session", 200);
  EXPECT_EQ(Run({"wet.session", "--all"}), 3) << err();
  EXPECT_THAT(out(), HasSubstr("444 ohm/V is below 500 ohm/V"));
  EXPECT_THAT(out(), HasSubstr("[set by you: facts of the definition files]"));
  Run({"wet.session", "--set", "pack.working_voltage=900"});
  EXPECT_THAT(out(), HasSubstr("222 ohm/V is below 500 ohm/V"));
  Put("later.session", 200, true, 1);
  EXPECT_EQ(RunCommand({"compare", "wet.session", "later.session"}), 3) << err();
  EXPECT_THAT(out(), HasSubstr("444 ohm/V"));
  RunCommand({"compare", "wet.session", "later.session", "--set", "pack.working_voltage=900"});
  EXPECT_THAT(out(), HasSubstr("222 ohm/V"));
  EXPECT_EQ(RunCommand({"history", "wet.session", "later.session"}), 3) << err();
  EXPECT_THAT(out(), HasSubstr("444 ohm/V"));
  EXPECT_EQ(RunCommand({"report", "wet.session", "--out", "wet.html"}), 0) << err();
  const auto html = ReadWholeFile(files_, "wet.html");
  ASSERT_OK(html);
  EXPECT_THAT(*html, HasSubstr("444 ohm/V is below 500 ohm/V"));
}

TEST_F(Check, JsonOnStandardOutputAndInAFile) {
  Put("wet.session", 30);
  EXPECT_EQ(Run({"wet.session", "--set", "pack.cells=96", "--json"}), 1);
  const auto json = nlohmann::json::parse(out());
  EXPECT_EQ(
      json["answer"],
      "1 of 13 checks is outside limits, 1 is within limits and 11 cannot tell; 2 answers rest "
      "on what is only a guess or known from a survey.");
  EXPECT_EQ(json["coverage"]["described"], 1);
  EXPECT_EQ(json["checks"][0]["name"], "definitions");
  EXPECT_EQ(json["checks"][2]["status"], "outside limits");
  EXPECT_THAT(err(), HasSubstr("nothing was measured"));
  EXPECT_EQ(Run({"wet.session", "--set", "pack.cells=96", "--json", "out.json"}), 1);
  EXPECT_TRUE(files_.Exists("out.json"));
  EXPECT_THAT(out(), HasSubstr("CHECK"));
  EXPECT_EQ(Run({"wet.session", "--json", "wet.session"}), 2);
  EXPECT_THAT(err(), HasSubstr("would overwrite a recording"));
}

TEST_F(Check, WithoutDefinitionsNothingCanBeTold) {
  Put("bare.session", 30, false);
  EXPECT_EQ(Run({"bare.session"}), 3);
  EXPECT_THAT(err(), HasSubstr("has no definitions"));
  EXPECT_THAT(out(), Not(HasSubstr("within limits")));
}

TEST_F(Check, DefinitionsOfAnotherCarJudgeNothing) {
  const std::string sentence =
      "These definitions describe 0 of 1 identifier of this recording: nothing can be judged.\n";
  Put("one.session", 3000);
  Put("two.session", 3000, true, 1);
  std::string other = kDefinitions;
  other.replace(other.find("0x2C8"), 5, "0x2C9");
  other += "warnings: {low: {text: Leak, when: iso < 100, severity: stop}}\n";
  files_.Put("other.yaml", {other.begin(), other.end()});
  const std::vector<std::vector<std::string>> commands = {
      {"check", "one.session"},
      {"report", "one.session", "--out", "one.html"},
      {"compare", "one.session", "two.session"},
      {"history", "one.session", "two.session"}};
  for (std::vector<std::string> command : commands) {
    SCOPED_TRACE(command[0]);
    command.insert(command.end(), {"--definitions", "other.yaml"});
    EXPECT_EQ(RunCommand(command), 3) << err();
    EXPECT_THAT(out(), ::testing::StartsWith(sentence));
    EXPECT_THAT(out(), Not(HasSubstr("None")));
    EXPECT_THAT(out(), Not(HasSubstr("To prove what is open")));
  }
  EXPECT_EQ(RunCommand({"decode", "one.session", "--definitions", "other.yaml"}), 3);
  EXPECT_THAT(err(), HasSubstr("describe 0 of 1 identifier of this recording"));
}

TEST_F(Check, ReportShowsTheAnswers) {
  Put("wet.session", 30);
  EXPECT_EQ(RunCommand({"report", "wet.session", "--out", "wet.html", "--set",
                        "pack.working_voltage=450"}),
            0)
      << err();
  EXPECT_THAT(out(), HasSubstr("1 of 13 checks is outside limits"));
  const auto html = ReadWholeFile(files_, "wet.html");
  ASSERT_OK(html);
  EXPECT_THAT(*html, HasSubstr("the least UN R100 allows at all"));
  EXPECT_THAT(*html, HasSubstr("\"name\":\"resistance\",\"unit\":\"kohm\",\"kind\":\"time\""));
  EXPECT_THAT(*html, HasSubstr("[45,\"100 ohm/V\"]"));
  EXPECT_EQ(RunCommand({"report", "wet.session", "--out", "wet.html", "--set", "pack.capacty=3"}),
            2);
}

TEST_F(Check, HistoryFollowsAFigureOverDays) {
  const std::uint32_t kWorse[] = {9050, 8600, 6400, 4300, 2600, 1900};
  for (int day = 0; day < 6; ++day) {
    Put("day" + std::to_string(day) + ".session", kWorse[day], true, day);
  }
  EXPECT_EQ(RunCommand({"history", ".", "--set", "pack.working_voltage=450"}), 3) << err();
  EXPECT_THAT(out(), HasSubstr("insulation   in  in  in  in  in  in  4222 ohm/V is above 500"));
  EXPECT_THAT(out(), HasSubstr("insulation resistance  kohm  9050  8600  6400  4300  2600  1900"));
  EXPECT_THAT(out(), HasSubstr("getting worse; insulation.warn (225 kohm) would be reached on"));
  EXPECT_EQ(RunCommand({"history", ".", "--set", "pack.working_voltage=450", "--json"}), 3);
  const auto json = nlohmann::json::parse(out());
  EXPECT_EQ(json["checks"][1]["answers"][5], "within limits");
  EXPECT_EQ(json["figures"][0]["values"][0], 9050);
  EXPECT_NEAR(json["figures"][0]["trend"]["p"], 2.0 / 720, 1e-9)
      << "one order of 6!, and its reverse";
  EXPECT_EQ(json["figures"][0]["reaches"][0]["limit"], "insulation.warn");
  EXPECT_TRUE(json["standby"].is_null());
  EXPECT_EQ(RunCommand({"history", ".", "--set", "insulation.wrn=2"}), 2);
}

TEST_F(Check, ReportWithoutDefinitionsHasNoChecks) {
  Put("bare.session", 30, false);
  EXPECT_EQ(RunCommand({"report", "bare.session", "--out", "bare.html"}), 0) << err();
  EXPECT_THAT(out(), Not(HasSubstr("checks")));
}

TEST_F(Check, WrongUse) {
  Put("wet.session", 30);
  EXPECT_EQ(Run({"wet.session", "--set", "pack.capacty=3"}), 2);
  EXPECT_THAT(err(), HasSubstr("did you mean \"pack.capacity\"?"));
  EXPECT_EQ(Run({"none.session"}), 2);
  EXPECT_EQ(Run({}), 2);
}

}  // namespace
}  // namespace proofdrive::tools
