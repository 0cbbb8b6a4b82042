// Sessions that are not complete, as the commands meet them.
#include "tools/input/session_input.h"

#include <gtest/gtest.h>

#include <sstream>

#include "core/digests/sha256.h"
#include "session/model/parts.h"
#include "tests/support/memory_files.h"
#include "tests/support/session_script.h"

namespace proofdrive::tools {
namespace {

using proofdrive::testing::MemoryFiles;
using proofdrive::testing::Unsynced;

constexpr char kDefinitions[] =
    "frames:\n"
    "  pump:\n"
    "    id: 0x210\n"
    "    every: 100 ms\n"
    "    signals:\n"
    "      level: {where: byte 0 bit 7, states: {0: ok, 1: low}}\n"
    "      fill: {where: byte 0 bits 0-6, unit: \"%\"}\n"
    "warnings:\n"
    "  coolant_low:\n"
    "    text: Coolant low\n"
    "    when: level == low\n"
    "    severity: stop\n"
    "    proven by: {condition: \"fill > 10\", for: 3 s}\n";

constexpr char kBefore[] =
    "name before\nstage arrival\nchannel 0 pack\ndefinitions d.yaml\n"
    "every 10 ms from 0 s to 20 s  pack 210  80\n";
constexpr char kAfter[] =
    "name after\nstage after-repair\nstart 2026-03-02T12:00:00Z\nchannel 0 pack\n"
    "definitions d.yaml\nevery 10 ms from 0 s to 20 s  pack 210  20\n";

class SessionInput : public ::testing::Test {
 protected:
  void SetUp() override {
    const std::string text = kDefinitions;
    files_.Put("d.yaml", {text.begin(), text.end()});
    ASSERT_TRUE(proofdrive::testing::WriteSession(files_, "before.session", kBefore).ok());
    ASSERT_TRUE(proofdrive::testing::WriteSession(files_, "after.session", kAfter).ok());
  }

  int Run(std::vector<const char*> arguments) {
    out_.str("");
    err_.str("");
    arguments.insert(arguments.begin(), "proofdrive");
    Environment environment{files_, out_, err_};
    return RunTool(static_cast<int>(arguments.size()), arguments.data(), environment);
  }

  MemoryFiles files_;
  std::ostringstream out_, err_;
};

TEST_F(SessionInput, CompleteSessionsGiveNoMessages) {
  EXPECT_EQ(Run({"compare", "before.session", "after.session"}), 0) << out_.str();
  EXPECT_EQ(err_.str(), "");
}

TEST_F(SessionInput, DamagedContentsAreNamedAndTheRestIsUsed) {
  std::vector<std::uint8_t>& bytes = files_.Contents("after.session");
  const std::size_t middle = bytes.size() / 2;
  for (std::size_t i = middle; i < middle + 8; ++i) bytes[i] ^= 0x5A;
  EXPECT_EQ(Run({"compare", "before.session", "after.session"}), 4) << err_.str();
  EXPECT_NE(err_.str().find("proofdrive: after.session: "), std::string::npos) << err_.str();
  EXPECT_EQ(Run({"decode", "after.session"}), 4) << err_.str();
  EXPECT_NE(err_.str().find("proofdrive: after.session: "), std::string::npos) << err_.str();
}

TEST_F(SessionInput, InterruptedRecordingIsUsedAndSaid) {
  {
    session::Header header;
    header.name = "cut";
    auto writer = session::Writer::Create(files_, "cut.session", header);
    ASSERT_TRUE(writer.ok());
    const auto script = proofdrive::testing::ParseFrameScript(kAfter);
    ASSERT_TRUE(script.ok());
    ASSERT_TRUE((*writer)->Append(script->frames).ok());
    ASSERT_TRUE((*writer)->Sync().ok());
    files_.LosePower(Unsynced::kLost);
  }
  EXPECT_EQ(Run({"decode", "cut.session", "--definitions", "d.yaml"}), 0) << err_.str();
  EXPECT_EQ(err_.str(),
            "proofdrive: cut.session: the recording was interrupted; everything saved until then "
            "is used. Complete it with: proofdrive recover cut.session\n");
  EXPECT_NE(out_.str().find("2,000 frames"), std::string::npos) << out_.str();
}

TEST_F(SessionInput, JsonResultGoesToTheFileAndTheTextToTheScreen) {
  EXPECT_EQ(Run({"compare", "before.session", "after.session", "--json", "r.json"}), 0);
  EXPECT_EQ(out_.str().find("{"), std::string::npos);
  const auto json = ReadWholeFile(files_, "r.json");
  ASSERT_TRUE(json.ok());
  EXPECT_TRUE(json->starts_with("{\n  \"answer\": "));
}

TEST_F(SessionInput, AFolderIsNoSession) {
  ASSERT_TRUE(proofdrive::testing::WriteSession(files_, "all/a.session", kBefore).ok());
  ASSERT_TRUE(proofdrive::testing::WriteSession(files_, "all/b.session", kAfter).ok());
  EXPECT_EQ(Run({"decode", "all"}), 2);
  EXPECT_EQ(err_.str(),
            "proofdrive: all is a folder; give one session, for example all/a.session "
            "(proofdrive info all lists all 2)\n");
}

TEST_F(SessionInput, ReportsTakeTheNameOfARecordingWithoutItsEnding) {
  EXPECT_EQ(Run({"report", "after", "--out", "r.html"}), 0) << err_.str();
  EXPECT_EQ(Run({"compare", "before", "after", "--report", "c.html"}), 0) << err_.str();
  EXPECT_TRUE(files_.Exists("c.html"));
}

TEST_F(SessionInput, AReportHasTheHashOfEveryPart) {
  for (const std::uint32_t number : {1U, 2U}) {
    session::Header header;
    header.recording = "r1";
    header.id = number == 1 ? "r1" : "r1-2";
    header.part = number;
    header.continued = number == 1;
    auto writer =
        session::Writer::Create(files_, session::PartPath("d/long.session", number), header);
    ASSERT_TRUE(writer.ok());
    const auto script = proofdrive::testing::ParseFrameScript(number == 1 ? kBefore : kAfter);
    ASSERT_TRUE(script.ok());
    ASSERT_TRUE((*writer)->Append(script->frames).ok());
    ASSERT_TRUE((*writer)->Finish().ok());
  }
  Run({"report", "d/long", "--out", "r.html", "--definitions", "d.yaml"});
  const auto page = ReadWholeFile(files_, "r.html");
  ASSERT_TRUE(page.ok()) << err_.str();
  for (const std::string part : {"long.session", "long.part-0002.session"}) {
    const std::string row = part + ": " + *Sha256OfFile(files_, "d/" + part);
    EXPECT_NE(page->find(row), std::string::npos) << page->substr(page->find("SHA-256"), 300);
  }
}

TEST_F(SessionInput, ResultThatCannotBeWrittenIsAnErrorNotAVerdict) {
  files_.SetCapacity(0);
  EXPECT_EQ(Run({"compare", "before.session", "after.session", "--json", "r.json"}), 2);
  EXPECT_EQ(out_.str(), "");
  EXPECT_NE(err_.str().find("r.json"), std::string::npos) << err_.str();
}

TEST(SessionsNamed, OfAFolderEveryRecordingOnceHoweverManyParts) {
  MemoryFiles files;
  for (const char* path : {"all/b.session", "all/b.part-0002.session", "all/b.part-0003.session",
                           "all/a.session", "all/a.journal", "all/notes.txt", "none/notes.txt"}) {
    files.Put(path, {1});
  }
  const std::vector<std::string> all = {"all/a.session", "all/b.session"};
  EXPECT_EQ(*SessionsNamed(files, "all"), all);
  EXPECT_EQ(*SessionsNamed(files, "all/"), all);
  const std::vector<std::string> part = {"all/b.part-0002.session"};
  EXPECT_EQ(*SessionsNamed(files, part.front()), part);
  const std::vector<std::string> missing = {"missing"};
  EXPECT_EQ(*SessionsNamed(files, "missing"), missing);
  EXPECT_EQ(SessionsNamed(files, "none").status().message(),
            "none: there is no session in this folder");
}

}  // namespace
}  // namespace proofdrive::tools
