#include "daemon/options/config_file.h"

#include <gmock/gmock.h>

#include <fstream>

#include "daemon/options/parse_options.h"
#include "tests/support/expected_file.h"
#include "tests/support/matchers.h"
#include "tests/support/memory_files.h"
#include "tests/support/places.h"

namespace proofdrive::daemon {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;
using testing::IsError;
using testing::IsOk;
using testing::MemoryFiles;

Result<ParsedOptions> Parse(const std::string& text, std::vector<const char*> more = {}) {
  MemoryFiles files;
  files.Put("etc/car.yaml", std::vector<std::uint8_t>(text.begin(), text.end()));
  std::vector<const char*> words{"proofdrived", "--config", "etc/car.yaml"};
  words.insert(words.end(), more.begin(), more.end());
  return ParseOptions(static_cast<int>(words.size()), words.data(), files);
}

TEST(ConfigFileTest, EveryKindOfValue) {
  const auto parsed = Parse(
      "# a car\n"
      "source: [socketcan:can0=pack, 'socketcan:can1=drive']\n"
      "definitions: bramble.yaml\n"
      "sessions: ../recordings\n"
      "socket: /run/proofdrive.sock\n"
      "record-when: traffic\n"
      "keep-before: 5 s\n"
      "budget: 20 GB\n");
  ASSERT_OK(parsed);
  const Options& options = parsed->options;
  ASSERT_EQ(options.sources.size(), 2u);
  EXPECT_EQ(options.sources[1].text, "socketcan:can1=drive");
  EXPECT_THAT(options.definitions, ElementsAre("etc/bramble.yaml")) << "relative to the file";
  EXPECT_EQ(options.sessions, "etc/../recordings");
  EXPECT_EQ(options.socket, "/run/proofdrive.sock");
  EXPECT_EQ(options.policy.when, RecordWhen::kTraffic);
  EXPECT_EQ(options.policy.keep_before, Duration(std::chrono::seconds(5)));
  EXPECT_EQ(options.budget, 20'000'000'000u);
  EXPECT_EQ(options.config, "etc/car.yaml");
}

TEST(ConfigFileTest, TheCommandLineWins) {
  const auto parsed = Parse("source: [socketcan:can0, socketcan:can1]\nsessions: a\nstage: drive\n",
                            {"--source", "bench:repaired", "--record", "x"});
  ASSERT_OK(parsed);
  ASSERT_EQ(parsed->options.sources.size(), 1u) << "replaces the list";
  EXPECT_EQ(parsed->options.sources[0].text, "bench:repaired");
  EXPECT_EQ(parsed->options.sessions, "etc/a");
  ASSERT_TRUE(parsed->options.record);
  EXPECT_EQ(parsed->options.record->stage, session::Stage::kDrive);
}

TEST(ConfigFileTest, AllMistakesWithTheirPlaces) {
  EXPECT_THAT(
      Parse("source: serial:x\n"
            "sesions: recordings\n"
            "record-when: rain\n"
            "stage: drive\n"
            "definitions:\n"
            "  - a.yaml\n"
            "  - [b.yaml]\n"
            "budget:\n"
            "sessions: [a, b]\n"
            "for: 5 min\n"
            "log-level: loud\n",
            {"--log-level", "info"}),
      IsError(
          ErrorKind::kInvalidArgument,
          "etc/car.yaml:1:9: error: serial:x: there is no such kind of source. Possible: "
          "socketcan:IFACE[=BUS], bench:SCENARIO[@SPEED], replay:FILE[@SPEED]\n"
          "  source: serial:x\n"
          "          ^\n"
          "etc/car.yaml:2:1: error: there is no option \"sesions\"\n"
          "  sesions: recordings\n"
          "  ^\n"
          "  hint: did you mean \"sessions\"?\n"
          "etc/car.yaml:3:14: error: \"rain\" is no cause: write asked, start, traffic or warning\n"
          "  record-when: rain\n"
          "               ^\n"
          "etc/car.yaml:4:1: error: stage: says something about a recording: give --record or "
          "--record-when too\n"
          "  stage: drive\n"
          "  ^\n"
          "etc/car.yaml:7:5: error: each value must be one text\n"
          "    - [b.yaml]\n"
          "      ^\n"
          "  hint: for example definitions: car.yaml\n"
          "etc/car.yaml:8:1: error: the value is missing\n"
          "  budget:\n"
          "  ^\n"
          "  hint: for example budget: 20 GB\n"
          "etc/car.yaml:9:11: error: takes one value\n"
          "  sessions: [a, b]\n"
          "            ^\n"
          "  hint: for example sessions: recordings\n"
          "etc/car.yaml:10:1: error: for: says something about a recording: give --record or "
          "--record-when too\n"
          "  for: 5 min\n"
          "  ^\n"
          "etc/car.yaml:11:12: error: \"loud\" is no level: write debug, info, warning or error\n"
          "  log-level: loud\n"
          "             ^"));
}

TEST(ConfigFileTest, OtherTextsAreExplained) {
  EXPECT_THAT(Parse("just words\n"),
              IsError(ErrorKind::kInvalidArgument, HasSubstr("a configuration is a list of lines "
                                                             "\"option: value\"")));
  EXPECT_THAT(Parse("sessions: \"a\nsource: x\n"),
              IsError(ErrorKind::kInvalidArgument, HasSubstr("etc/car.yaml:1:11: error: ")));
  EXPECT_THAT(Parse("# nothing\n"),
              IsError(ErrorKind::kInvalidArgument,
                      "etc/car.yaml: error: source: nothing to record: give at least "
                      "one, for example --source socketcan:can0"));
  MemoryFiles files;
  const std::vector<const char*> words{"proofdrived", "--config", "none.yaml"};
  EXPECT_THAT(ParseOptions(3, words.data(), files),
              IsError(ErrorKind::kNotFound, HasSubstr("--config: open none.yaml")));
}

// --- the shipped example and the document ---

TEST(ConfigFileTest, ShippedExampleAgrees) {
  const std::string path = testing::SourcePath("daemon/proofdrived.yaml");
  if (testing::WritingExpected()) std::ofstream(path, std::ios::binary) << ExampleConfig();
  EXPECT_EQ(testing::ReadText(path), ExampleConfig());
}

TEST(ConfigFileTest, DocumentAgrees) {
  const std::string begin_mark = "<!-- options begin: written by config_file_test -->\n";
  const std::string path = testing::SourcePath("docs/daemon.md");
  std::string text = testing::ReadText(path);
  const std::size_t begin = text.find(begin_mark);
  const std::size_t end = text.find("<!-- options end -->\n");
  ASSERT_NE(begin, std::string::npos);
  ASSERT_NE(end, std::string::npos);
  const std::size_t tables = begin + begin_mark.size();
  if (testing::WritingExpected()) {
    text.replace(tables, end - tables, OptionReference());
    std::ofstream(path, std::ios::binary) << text;
    GTEST_SKIP() << "wrote " << path;
  }
  EXPECT_EQ(text.substr(tables, end - tables), OptionReference());
}

TEST(ConfigFileTest, ExampleHasNoMistakes) { EXPECT_OK(Parse(ExampleConfig())); }

TEST(ConfigFileTest, EveryExampleIsAValueThatIsAccepted) {
  for (const OptionRule& rule : OptionRules()) {
    Options options;
    EXPECT_OK(rule.set(options, rule.is_switch() ? "yes" : std::string(rule.example))) << rule.name;
    const std::string line =
        std::string(rule.name) + ": " + (rule.is_switch() ? "yes" : std::string(rule.example));
    EXPECT_THAT(ExampleConfig(),
                HasSubstr("\n" + std::string(rule.name == "source" ? "" : "#") + line + "\n"));
  }
}

TEST(ConfigFileTest, HelpHasEveryOption) {
  MemoryFiles files;
  const std::vector<const char*> words{"proofdrived", "--help"};
  const auto parsed = ParseOptions(2, words.data(), files);
  ASSERT_OK(parsed);
  for (const OptionRule& rule : OptionRules()) {
    EXPECT_THAT(*parsed->answer, HasSubstr("--" + std::string(rule.name) + " "));
  }
}

}  // namespace
}  // namespace proofdrive::daemon
