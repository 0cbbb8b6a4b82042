// Definitions held against recordings of the (invented) bench vehicle they describe.
#include <gmock/gmock.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <set>
#include <sstream>

#include "bench/vehicle.h"
#include "core/base/posix_files.h"
#include "session/writer.h"
#include "tests/support/matchers.h"
#include "tests/support/memory_files.h"
#include "tests/support/places.h"
#include "tools/shell/command.h"

namespace proofdrive {
namespace {

using Json = nlohmann::json;
using ::testing::ElementsAre;
using ::testing::HasSubstr;

constexpr char kDefinitions[] = "bramble-seven.yaml";
constexpr WallTime kStart = WallTime(std::chrono::seconds(1'772'366'400));

class LintBench : public ::testing::Test {
 protected:
  void SetUp() override {
    text_ = FromDisk("decoders/library/bramble-seven.yaml");
    Put(kDefinitions, text_);
  }

  static std::string FromDisk(const std::string& path) {
    PosixFiles disk;
    const auto text = ReadWholeFile(disk, testing::SourcePath(path));
    EXPECT_OK(text);
    return *text;
  }

  void Put(const std::string& path, const std::string& text) {
    files_.Put(path, {text.begin(), text.end()});
  }

  // The definitions with one place changed.
  void PutChanged(const std::string& path, const std::string& from, const std::string& to) {
    std::string text = text_;
    const std::size_t at = text.find(from);
    ASSERT_NE(at, std::string::npos) << from;
    Put(path, text.replace(at, from.size(), to));
  }

  void Record(const std::string& scenario) {
    const auto vehicle = bench::Vehicle::Create({scenario, 1, kStart, 0});
    ASSERT_OK(vehicle);
    std::vector<Frame> frames;
    (*vehicle)->Run((*vehicle)->duration(), frames);
    session::Header header;
    header.name = scenario;
    header.started.wall = kStart;
    for (const auto& [number, bus] : {std::pair(0, "pack"), std::pair(1, "drive")}) {
      session::Channel channel;
      channel.number = static_cast<std::uint8_t>(number);
      channel.bus = bus;
      header.channels.push_back(channel);
    }
    auto writer = session::Writer::Create(files_, scenario + ".session", header);
    ASSERT_OK(writer);
    ASSERT_OK((*writer)->Append(frames));
    ASSERT_OK((*writer)->Finish());
  }

  // The document of lint --json; `code_` is the exit code.
  Json Lint(const std::string& definitions, const std::string& session) {
    std::ostringstream out, err;
    tools::Environment environment{files_, out, err};
    const char* arguments[] = {"proofdrive", "lint",          definitions.c_str(),
                               "--against",  session.c_str(), "--json"};
    code_ = tools::RunTool(6, arguments, environment);
    messages_ = err.str();
    const Json document = Json::parse(out.str());
    EXPECT_TRUE(document.contains("against")) << document;
    return document.value("against", Json::object());
  }

  // "KIND FRAME" of every problem.
  static std::set<std::string> Problems(const Json& against) {
    std::set<std::string> problems;
    for (const Json& one : against["findings"]) {
      if (one["severity"] != "problem") continue;
      problems.insert(one["kind"].get<std::string>() + " " + one["frame"].get<std::string>());
    }
    return problems;
  }

  testing::MemoryFiles files_;
  std::string text_;
  int code_ = -1;
  std::string messages_;
};

TEST_F(LintBench, DefinitionsFitTheVehicleTheyDescribe) {
  for (const std::string scenario : {"coolant-leak", "repaired-air-trapped", "drive"}) {
    SCOPED_TRACE(scenario);
    Record(scenario);
    const Json against = Lint(kDefinitions, scenario + ".session");
    EXPECT_THAT(Problems(against), ElementsAre());
    EXPECT_EQ(against["not_described"], Json::array());
    EXPECT_EQ(against["fit"], against["frames"].size());
    EXPECT_EQ(code_, 0);
  }
}

// In "repaired" the moisture sensor was not plugged in again.
TEST_F(LintBench, FrameOfAMissingSensorWasNeverSeen) {
  Record("repaired");
  EXPECT_THAT(Problems(Lint(kDefinitions, "repaired.session")),
              ElementsAre("never seen pack_moisture"));
  EXPECT_EQ(code_, 1);
}

TEST_F(LintBench, EachMistakeIsFoundWhereItIs) {
  Record("drive");
  const std::string sum = "{where: byte 7, kind: sum-8, over: bytes 0-6}";
  PutChanged("checksum.yaml", sum, "{where: byte 7, kind: xor, over: bytes 0-6}");
  EXPECT_EQ(Problems(Lint("checksum.yaml", "drive.session")).size(), 1U);
  EXPECT_EQ(code_, 1);

  PutChanged("id.yaml", "id: 0x2D3", "id: 0x2DD");
  const Json moved = Lint("id.yaml", "drive.session");
  EXPECT_THAT(Problems(moved), ElementsAre("never seen coolant_loop"));
  ASSERT_EQ(moved["not_described"].size(), 1U);
  EXPECT_EQ(moved["not_described"][0]["id"], "2D3");
  EXPECT_EQ(code_, 1);

  PutChanged("states.yaml", "states: {0: starting, 1: measuring}",
             "states: {0: starting, 2: measuring}");
  EXPECT_THAT(Problems(Lint("states.yaml", "drive.session")),
              ElementsAre("unknown states insulation"));
}

TEST_F(LintBench, UpdatedSoftwareNoLongerFitsTheOldDefinitions) {
  Record("updated");
  const Json against = Lint(kDefinitions, "updated.session");
  EXPECT_EQ(code_, 1);
  EXPECT_GT(against["never_seen"], 0);
  EXPECT_NE(against["not_described"], Json::array());
  const Json& findings = against["findings"];
  EXPECT_TRUE(std::any_of(findings.begin(), findings.end(), [](const Json& one) {
    return one["kind"] == "period differs" && one["frame"] == "pack_limits";
  })) << findings;
}

// Samples of earlier versions: the car had another name, and warnings said "for" and "clear for".
TEST_F(LintBench, OlderRecordingsAreReadWithTheirOwnDefinitionsAndWithThese) {
  for (const std::string name : {"coolant-leak", "repaired", "drive", "updated"}) {
    const std::string session = name + ".session";
    Put(session, FromDisk("captures/bench/" + session));
    std::ostringstream out, err;
    tools::Environment environment{files_, out, err};
    const char* arguments[] = {"proofdrive", "decode", session.c_str()};
    EXPECT_EQ(tools::RunTool(3, arguments, environment), 0) << name << ": " << err.str();
    const Json against = Lint(kDefinitions, session);
    EXPECT_NE(code_, 2) << name << ": " << messages_;
    EXPECT_GT(against["fit"], 0) << name;
  }
}

TEST_F(LintBench, DamagedSessionIsUsedAsFarAsItCanBeRead) {
  Put("flipped.session", FromDisk("captures/damaged/flipped.session"));
  const Json against = Lint(kDefinitions, "flipped.session");
  EXPECT_EQ(code_, 4);
  EXPECT_EQ(against["fit"], against["frames"].size());
  EXPECT_THAT(messages_, HasSubstr("flipped.session: "));
}

}  // namespace
}  // namespace proofdrive
