#include "tools/input/chosen_rows.h"

#include <gmock/gmock.h>

#include <algorithm>
#include <sstream>

#include "core/base/text.h"
#include "decoders/language/loader.h"
#include "tests/support/matchers.h"
#include "tests/support/memory_files.h"
#include "tests/support/session_script.h"
#include "tools/shell/command.h"

namespace proofdrive::tools {
namespace {

using ::testing::ElementsAre;
using ::testing::IsEmpty;

constexpr char kDefinitions[] =
    "byte order: big\n"
    "buses: {pack: {bitrate: 500000}, drive: {bitrate: 500000}}\n"
    "frames:\n"
    "  rare:\n"
    "    bus: pack\n"
    "    id: 0x100\n"
    "    page: {where: byte 0}\n"
    "    signals: {level: {where: byte 1, states: {0: ok, 1: low}, absent: 0xFF}}\n"
    "    series: {part: {first: byte 2, each: 2 bytes, per page: 2, count: 4, type: text}}\n"
    "    checksum: {where: byte 6, kind: xor, over: bytes 0-5}\n"
    "  slow: {bus: drive, id: 0x101, signals: {speed: {where: byte 0, range: 0..100}}}\n"
    "  busy: {bus: pack, id: 0x102, signals: {noise: {where: byte 0}}}\n"
    "computed: {double_speed: {formula: speed * 2}}\n";

// 100 busy frames; seven rare ones, of which one has a wrong checksum and one is too short.
constexpr char kFrames[] =
    "name a\n"
    "channel 0 pack\n"
    "channel 1 drive\n"
    "start 2026-03-01T12:00:00Z\n"
    "definitions car.yaml\n"
    "every 100 ms from 0 s to 10 s  pack 102  11\n"
    "at 1 s      pack 100  00 01 41 42 43 44 05\n"
    "at 2 s      pack 100  01 00 41 20 FF FF 60\n"
    "at 3 s      pack 100  00 00 41 42 43 44 00\n"
    "at 3.5 s    pack 100  00 00\n"
    "every 2 s from 1 s to 10 s  drive 101  70\n"
    "at 9 s      drive 101  10\n";

class ChosenRowsTest : public ::testing::Test {
 protected:
  void SetUp() override {
    const std::string text = kDefinitions;
    files_.Put("car.yaml", {text.begin(), text.end()});
    const decoders::SourceText source{"car.yaml", text};
    const auto loaded = decoders::LoadDefinitions(std::span(&source, 1));
    ASSERT_TRUE(loaded.ok()) << decoders::FormatDiagnostics(loaded.diagnostics);
    definitions_ = loaded.definitions;
    ASSERT_OK(testing::WriteSession(files_, "a.session", kFrames));
    auto reader = session::Reader::Open(files_, "a.session");
    ASSERT_OK(reader);
    reader_ = std::move(*reader);
  }

  SignalSelection Select(const std::vector<std::string>& names) {
    return SignalSelection::Create(*definitions_, names).value();
  }
  bool IsWorthwhile(const std::vector<std::string>& names) {
    return ChosenRows::IsWorthwhile(*reader_, *definitions_, Select(names));
  }

  std::vector<std::string> Decode(const std::vector<std::string>& more, int code = 0) {
    std::vector<const char*> words = {"proofdrive", "decode", "a.session", "--format", "csv"};
    for (const std::string& word : more) words.push_back(word.c_str());
    std::ostringstream out, err;
    Environment environment{files_, out, err};
    EXPECT_EQ(RunTool(static_cast<int>(words.size()), words.data(), environment), code)
        << err.str();
    messages_ = err.str();
    std::vector<std::string> lines = Split(out.str(), '\n');
    lines.erase(lines.begin());
    lines.pop_back();
    return lines;
  }

  testing::MemoryFiles files_;
  std::shared_ptr<const decoders::Definitions> definitions_;
  std::unique_ptr<session::Reader> reader_;
  std::string messages_;
};

TEST_F(ChosenRowsTest, OnlyForASmallPartOfTheFrames) {
  EXPECT_TRUE(IsWorthwhile({"level", "part", "speed"}));
  EXPECT_FALSE(IsWorthwhile({"noise"})) << "in most of the frames";
  EXPECT_FALSE(IsWorthwhile({"double_speed"})) << "computed: needs all frames";
  EXPECT_FALSE(IsWorthwhile({}));
}

TEST_F(ChosenRowsTest, RowsAreThoseOfTheWholeInOrderOfTime) {
  std::vector<std::string> expected;
  for (const std::string& line : Decode({})) {
    for (const char* name : {",level,", ",part[", ",speed,"}) {
      if (line.find(name) != std::string::npos) expected.push_back(line);
    }
  }
  EXPECT_EQ(expected.size(), 12U);
  EXPECT_EQ(Decode({"--signals", "level,part,speed"}), expected);
  EXPECT_EQ(messages_, "");
}

TEST_F(ChosenRowsTest, BoundsAndElements) {
  EXPECT_THAT(Decode({"--signals", "part[2],part[3]", "--from", "1", "--to", "2"}),
              ElementsAre("1772366401.000000,part[2],,,CD", "1772366402.000000,part[3],,,A"));
}

TEST_F(ChosenRowsTest, NothingInTheBoundsIsSaidAsEver) {
  EXPECT_THAT(Decode({"--signals", "level", "--from", "100"}, 3), IsEmpty());
  EXPECT_EQ(messages_, "proofdrive: a.session: no frames in the time asked for.\n");
}

}  // namespace
}  // namespace proofdrive::tools
