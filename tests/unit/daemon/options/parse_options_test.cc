#include "daemon/options/parse_options.h"

#include <gmock/gmock.h>

#include <cstdlib>

#include "daemon/sources/paced_argument.h"
#include "tests/support/matchers.h"
#include "tests/support/memory_files.h"

namespace proofdrive::daemon {
namespace {

using ::testing::HasSubstr;
using testing::IsError;
using testing::IsOk;
using testing::MemoryFiles;
using ::testing::StartsWith;

Result<ParsedOptions> Parse(std::vector<const char*> words) {
  words.insert(words.begin(), "proofdrived");
  MemoryFiles files;
  return ParseOptions(static_cast<int>(words.size()), words.data(), files);
}

#define EXPECT_REFUSED(words, sentence) \
  EXPECT_THAT(Parse words, IsError(ErrorKind::kInvalidArgument, sentence))

TEST(OptionsTest, EverythingGiven) {
  const auto parsed = Parse({"--source",      "socketcan:can0=pack",
                             "--source",      "bench:repaired@10",
                             "--definitions", "a.yaml",
                             "--definitions", "b.yaml",
                             "--sessions",    "out",
                             "--record",      "repair-1",
                             "--stage",       "after-repair",
                             "--for",         "10min",
                             "--notes",       "new pump",
                             "--socket",      "/tmp/x.sock",
                             "--log-level",   "debug"});
  ASSERT_OK(parsed);
  ASSERT_FALSE(parsed->answer);
  const Options& options = parsed->options;
  ASSERT_EQ(options.sources.size(), 2u);
  EXPECT_EQ(options.sources[0].text, "socketcan:can0=pack");
  EXPECT_EQ(options.sources[0].identity, "socketcan:can0");
  EXPECT_EQ(options.sources[1].argument, "repaired@10");
  EXPECT_THAT(options.definitions, ::testing::ElementsAre("a.yaml", "b.yaml"));
  EXPECT_EQ(options.sessions, "out");
  ASSERT_TRUE(options.record);
  EXPECT_EQ(options.record->name, "repair-1");
  EXPECT_EQ(options.record->stage, session::Stage::kAfterRepair);
  EXPECT_EQ(options.record->length, std::chrono::minutes(10));
  EXPECT_EQ(options.record->notes, "new pump");
  EXPECT_EQ(options.socket, "/tmp/x.sock");
  EXPECT_EQ(options.log_level, LogLevel::kDebug);
}

TEST(OptionsTest, Defaults) {
  const auto parsed = Parse({"--source", "socketcan:can0"});
  ASSERT_OK(parsed);
  EXPECT_EQ(parsed->options.sessions, ".");
  EXPECT_FALSE(parsed->options.record);
  EXPECT_EQ(parsed->options.log_level, LogLevel::kInfo);
  EXPECT_THAT(parsed->options.socket, HasSubstr("/proofdrive"));
}

TEST(OptionsTest, HelpNamesEverySourceAndSaysItOnlyListens) {
  const auto parsed = Parse({"--help"});
  ASSERT_OK(parsed);
  ASSERT_TRUE(parsed->answer);
  EXPECT_THAT(*parsed->answer, HasSubstr("no frame is ever sent"));
  for (const SourceKind& kind : SourceKinds()) {
    EXPECT_THAT(*parsed->answer, HasSubstr(std::string(kind.syntax)));
  }
}

TEST(OptionsTest, Version) {
  const auto parsed = Parse({"--version"});
  ASSERT_OK(parsed);
  EXPECT_THAT(parsed->answer.value_or(""), StartsWith("proofdrived "));
}

TEST(OptionsTest, RefusesWithOneSentence) {
  EXPECT_REFUSED(({}),
                 "--source: nothing to record: give at least one, for example --source "
                 "socketcan:can0");
  EXPECT_REFUSED(({"--source", "serial:x"}),
                 "--source: serial:x: there is no such kind of source. Possible: "
                 "socketcan:IFACE[=BUS], bench:SCENARIO[@SPEED], replay:FILE[@SPEED]");
  EXPECT_REFUSED(({"--source", "can0"}),
                 StartsWith("--source: can0: there is no such kind of source. Did you mean "
                            "socketcan:can0? Possible: "));
  EXPECT_REFUSED(({"--source", "repaired@10"}), HasSubstr("Did you mean bench:repaired@10?"));
  EXPECT_REFUSED(({"--source", "a.session"}), HasSubstr("Did you mean replay:a.session?"));
  EXPECT_REFUSED(({"--source", "bench"}), HasSubstr("--source: bench: there is no such kind"));
  EXPECT_REFUSED(({"--source", "socketcan:can0", "--source", "socketcan:can0=pack"}),
                 "--source: socketcan:can0=pack: socketcan:can0 is the same source");
  EXPECT_REFUSED(({"--source", "socketcan:"}),
                 "--source: socketcan:: write the interface and, if you like, its bus, as in "
                 "socketcan:can0=pack");
  EXPECT_REFUSED(({"--source", "bench:repaired@0"}),
                 "--source: bench:repaired@0: a speed of \"0\" is not possible: write a number "
                 "above 0 and up to 10000, as in @10, or @max");
  EXPECT_REFUSED(({"--source", "replay:a.pcap"}),
                 "--source: replay:a.pcap: only sessions can be replayed: the name of the file "
                 "must end in .session");
  EXPECT_REFUSED(({"--source", "socketcan:can0", "--stage", "drive"}),
                 "--stage: says something about a recording: give --record or --record-when too");
  EXPECT_REFUSED(({"--source", "socketcan:can0", "--record", "a/b"}),
                 "--record: \"a/b\" cannot name a session: use up to 100 letters, digits, \".\", "
                 "\"-\" and \"_\", beginning with a letter or digit");
  EXPECT_REFUSED(({"--source", "socketcan:can0", "--record", "a", "--for", "0s"}),
                 "--for: must be longer than zero, for example \"10min\"");
  EXPECT_REFUSED(({"--source", "socketcan:can0", "--record", "a", "--for", "long"}),
                 "--for: \"long\" is not a duration: write for example \"100 ms\", \"2 s\", "
                 "\"10min\" or \"1.5 h\"");
  EXPECT_REFUSED(({"--source", "socketcan:can0", "--record", "a", "--for", "10"}),
                 "--for: \"10\" has no unit: write \"10 s\" or \"10 min\"");
  EXPECT_REFUSED(({"--source", "socketcan:can0", "--record", "a", "--stage", "lunch"}),
                 StartsWith("--stage: "));
  EXPECT_REFUSED(({"--source", "socketcan:can0", "--log-level", "loud"}),
                 "--log-level: \"loud\" is no level: write debug, info, warning or error");
  EXPECT_REFUSED(({"--source", "socketcan:can0", "--record-when", "rain"}),
                 "--record-when: \"rain\" is no cause: write asked, start, traffic or warning");
  EXPECT_REFUSED(({"--source", "socketcan:can0", "--record-when", "start", "--record", "a"}),
                 "--record: is one recording that begins at once: leave out --record-when");
  EXPECT_REFUSED(({"--source", "socketcan:can0", "--record-when", "warning"}),
                 "--record-when: warnings come from definition files: give --definitions too");
  EXPECT_REFUSED(({"--source", "socketcan:can0", "--end-after", "5s"}),
                 "--end-after: needs --record-when traffic or --record-when warning");
  EXPECT_REFUSED(({"--source", "socketcan:can0", "--keep-before", "6min"}),
                 "--keep-before: at most 5 min are kept in memory");
  EXPECT_REFUSED(({"--source", "socketcan:can0", "--budget", "5 kB"}),
                 "--budget: must be at least 100,000,000 bytes, for example \"20 GB\"");
  EXPECT_REFUSED(({"--source", "socketcan:can0", "--part-size", "much"}),
                 "--part-size: \"much\" is not a size: write for example \"500 MB\" or \"20 GB\"");
  EXPECT_REFUSED(({"--source", "socketcan:can0", "--sessions", "a", "--sessions", "b"}),
                 "--sessions: is given twice");
}

TEST(OptionsTest, TheEndingOfASessionMayBeWritten) {
  const auto parsed = Parse({"--source", "socketcan:can0", "--record", "before.session"});
  ASSERT_OK(parsed);
  EXPECT_EQ(parsed->options.record->name, "before");
}

TEST(OptionsTest, AllMistakesAreSaidAtOnce) {
  EXPECT_REFUSED(({"--log-level", "loud", "--for", "1min"}),
                 "--log-level: \"loud\" is no level: write debug, info, warning or error\n"
                 "--source: nothing to record: give at least one, for example --source "
                 "socketcan:can0\n"
                 "--for: says something about a recording: give --record or --record-when too");
}

TEST(OptionsTest, RecordingPolicy) {
  const auto traffic = Parse({"--source", "socketcan:can0", "--record-when", "traffic", "--stage",
                              "drive", "--end-after", "30s", "--part-time", "1h", "--part-size",
                              "500MB", "--budget", "20 GB"});
  ASSERT_OK(traffic);
  EXPECT_EQ(traffic->options.policy.when, RecordWhen::kTraffic);
  EXPECT_EQ(traffic->options.policy.keep_before, Duration(std::chrono::seconds(10)));
  EXPECT_EQ(traffic->options.policy.end_after, Duration(std::chrono::seconds(30)));
  EXPECT_EQ(traffic->options.policy.wish.stage, session::Stage::kDrive);
  EXPECT_EQ(traffic->options.parts.time, Duration(std::chrono::hours(1)));
  EXPECT_EQ(traffic->options.parts.bytes, 500'000'000u);
  EXPECT_EQ(traffic->options.budget, 20'000'000'000u);
  EXPECT_FALSE(traffic->options.record);
  const auto asked = Parse({"--source", "socketcan:can0"});
  ASSERT_OK(asked);
  EXPECT_EQ(asked->options.policy.when, RecordWhen::kAsked);
  EXPECT_EQ(asked->options.policy.keep_before, Duration(0));
  EXPECT_FALSE(asked->options.parts.any());
  EXPECT_FALSE(asked->options.budget);
}

TEST(OptionsTest, LongSocketPathIsRefusedBeforeAnythingStarts) {
  const std::string path = "/tmp/" + std::string(120, 'x');
  EXPECT_REFUSED(
      ({"--source", "socketcan:can0", "--socket", path.c_str()}),
      "--socket: " + path + ": a socket's path has at most 107 characters; choose a shorter one");
}

TEST(PacedArgumentTest, SplitsSpeeds) {
  const auto paced = [](const std::string& text) { return *ParsePacedArgument(text); };
  EXPECT_EQ(paced("repaired").name, "repaired");
  EXPECT_EQ(paced("repaired").speed, 1.0);
  EXPECT_EQ(paced("repaired@10").name, "repaired");
  EXPECT_EQ(paced("repaired@10").speed, 10.0);
  EXPECT_EQ(paced("repaired@0.5").speed, 0.5);
  EXPECT_EQ(paced("repaired@max").speed, 0.0);
  EXPECT_EQ(paced("mixed").name, "mixed");
  EXPECT_EQ(paced("me@home/a.session").name, "me@home/a.session") << "an @ of the path";
  for (const char* wrong : {"repaired@-2", "repaired@20000", "repaired@fast", "repaired@"}) {
    EXPECT_FALSE(ParsePacedArgument(wrong).ok()) << wrong;
  }
}

TEST(PacedArgumentTest, ReadsTheOlderForm) {
  const auto paced = [](const std::string& text) { return *ParsePacedArgument(text); };
  EXPECT_EQ(paced("repairedx10").name, "repaired");
  EXPECT_EQ(paced("repairedx10").speed, 10.0);
  EXPECT_EQ(paced("repairedx0.5").speed, 0.5);
  EXPECT_EQ(paced("repairedxmax").speed, 0.0);
  EXPECT_EQ(paced("me@home/a.sessionxmax").speed, 0.0);
  EXPECT_FALSE(ParsePacedArgument("repairedx-2").ok());
  EXPECT_FALSE(ParsePacedArgument("repairedx20000").ok());
}

TEST(OptionsTest, ThePageIsOnLoopbackUnlessThereIsAToken) {
  const auto parsed = Parse({"--source", "socketcan:can0", "--page", "8642"});
  ASSERT_OK(parsed);
  EXPECT_EQ(parsed->options.page->Text(), "127.0.0.1:8642");
  EXPECT_FALSE(Parse({"--source", "socketcan:can0", "--page", "0.0.0.0:8642"}).ok());
  EXPECT_THAT(
      Parse({"--source", "socketcan:can0", "--page", "0.0.0.0:8642"}).status().message(),
      HasSubstr("others can reach 0.0.0.0:8642, so a token is needed: give --page-token FILE; "
                "the file is made when it is missing"));
  const auto open =
      Parse({"--source", "socketcan:can0", "--page", "0.0.0.0:8642", "--page-token", "token"});
  ASSERT_OK(open);
  EXPECT_FALSE(open->options.page->loopback);
  EXPECT_EQ(open->options.page_token, "token");
  EXPECT_THAT(Parse({"--source", "socketcan:can0", "--page-token", "token"}).status().message(),
              HasSubstr("says something about the live page: give --page too"));
}

}  // namespace
}  // namespace proofdrive::daemon
