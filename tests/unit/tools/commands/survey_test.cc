// survey by its command line: results, messages, exit codes.
#include <gmock/gmock.h>

#include <cmath>
#include <nlohmann/json.hpp>
#include <sstream>

#include "session/writer.h"
#include "tests/support/matchers.h"
#include "tests/support/memory_files.h"
#include "tools/input/survey_evidence.h"
#include "tools/shell/command.h"

namespace proofdrive::tools {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;

constexpr int kPresses[] = {10, 27, 49, 66, 92, 108};  // s
constexpr std::int64_t kStart = 1'700'000'000'000'000'000;

Frame Make(std::int64_t milliseconds, std::uint32_t id, std::vector<std::uint8_t> data) {
  Frame frame;
  frame.time = WallFromNanoseconds(kStart + milliseconds * 1'000'000);
  frame.id = id;
  frame.length = static_cast<std::uint8_t>(data.size());
  std::copy(data.begin(), data.end(), frame.data.begin());
  return frame;
}

class Survey : public ::testing::Test {
 protected:
  int Run(std::vector<std::string> words) {
    out_.str("");
    err_.str("");
    words.insert(words.begin(), {"proofdrive", "survey"});
    std::vector<const char*> argv;
    for (const std::string& word : words) argv.push_back(word.c_str());
    Environment environment{files_, out_, err_, false};
    return RunTool(static_cast<int>(argv.size()), argv.data(), environment);
  }

  void Put(const std::string& path, const std::vector<Frame>& frames,
           const std::vector<std::int64_t>& marks = {}) {
    session::Header header;
    session::Channel channel;
    channel.bus = "pack";
    header.channels = {channel};
    auto writer = session::Writer::Create(files_, path, header);
    ASSERT_OK(writer);
    ASSERT_OK((*writer)->Append(frames));
    for (const std::int64_t mark : marks) {
      session::Event event;
      event.time = WallFromNanoseconds(kStart + mark * 1'000'000);
      event.kind = session::EventKind::kMark;
      event.text = "Brake pressed";
      ASSERT_OK((*writer)->AddEvent(event));
    }
    ASSERT_OK((*writer)->Finish());
  }

  void PutText(const std::string& path, const std::string& text) {
    files_.Put(path, {text.begin(), text.end()});
  }

  // Two minutes of a number at bytes 2-3 that goes up and down, and of a switch.
  static std::vector<Frame> Drive() {
    std::vector<Frame> frames;
    for (std::int64_t i = 0; i < 2400; ++i) {
      const int value = ValueAt(static_cast<double>(i) * 0.05);
      const bool pressed = std::any_of(std::begin(kPresses), std::end(kPresses), [&](int second) {
        return i >= 20 * second && i < 20 * second + 30;
      });
      frames.push_back(Make(
          50 * i, 0x2A1,
          {0, 0, static_cast<std::uint8_t>(value >> 8), static_cast<std::uint8_t>(value & 0xFF)}));
      frames.push_back(Make(50 * i + 1, 0x300, {static_cast<std::uint8_t>(pressed ? 0x10 : 0)}));
    }
    return frames;
  }
  static int ValueAt(double second) {
    return static_cast<int>(9000 + 3000 * std::sin(second / 7) + 2000 * std::sin(second / 3.1) +
                            900 * std::sin(second * 1.3));
  }

  nlohmann::json Document(std::vector<std::string> words) {
    words.emplace_back("--json");
    EXPECT_EQ(Run(std::move(words)), 0) << err_.str();
    return nlohmann::json::parse(out_.str());
  }

  testing::MemoryFiles files_;
  std::ostringstream out_;
  std::ostringstream err_;
};

TEST_F(Survey, SaysWhereANumberIs) {
  Put("drive.session", Drive());
  const auto document = Document({"drive.session", "--id", "2A1"});
  ASSERT_EQ(document["identifiers"].size(), 1U);
  const auto& frame = document["identifiers"][0];
  EXPECT_EQ(frame["bus"], "pack");
  EXPECT_EQ(frame["id"], "2A1");
  EXPECT_EQ(frame["page"], nullptr);
  ASSERT_EQ(frame["fields"].size(), 1U);
  EXPECT_EQ(frame["fields"][0]["where"], "byte 2, byte 3");
  EXPECT_EQ(frame["fields"][0]["order"], "big");
  EXPECT_EQ(frame["fields"][0]["kind"], "number");
  EXPECT_EQ(frame["counter"], nullptr);
  EXPECT_EQ(frame["checksum"], nullptr);
}

TEST_F(Survey, TheSameAnswerEveryTime) {
  Put("drive.session", Drive());
  const auto first = Document({"drive.session"});
  EXPECT_EQ(first, Document({"drive.session"}));
}

TEST_F(Survey, SeveralSessionsTogether) {
  const std::vector<Frame> all = Drive();
  Put("a.session", {all.begin(), all.begin() + 2000});
  Put("b.session", {all.begin() + 2000, all.end()});
  const auto document = Document({"a.session", "b.session", "--id", "0x2A1"});
  EXPECT_EQ(document["identifiers"][0]["frames"], 2400);
}

TEST_F(Survey, TooLittle) {
  Put("one.session", {Make(0, 0x100, {1, 2, 3})});
  EXPECT_EQ(Run({"one.session"}), 0);
  EXPECT_THAT(out_.str(), HasSubstr("too little: 1 frame"));
  Put("empty.session", {});
  EXPECT_EQ(Run({"empty.session"}), 2);
  EXPECT_THAT(err_.str(), HasSubstr("there are no data frames to survey"));
}

TEST_F(Survey, LeavesOutWhatIsNoData) {
  std::vector<Frame> frames = Drive();
  Frame remote = Make(1, 0x2A1, {});
  remote.flags = kRemote;
  remote.length = 4;
  Frame error = Make(2, 0x204, {0, 0, 0, 0, 0, 0, 0, 0});
  error.flags = kErrorMessage;
  frames.insert(frames.begin() + 10, {remote, error});
  Put("drive.session", frames);
  EXPECT_EQ(Run({"drive.session"}), 0);
  EXPECT_THAT(err_.str(), HasSubstr("2 frames left out"));
}

TEST_F(Survey, WordsThatMakeNoSense) {
  Put("drive.session", Drive());
  EXPECT_EQ(Run({"drive.session", "--id", "speed"}), 2);
  EXPECT_THAT(err_.str(), HasSubstr("is no identifier"));
  EXPECT_EQ(Run({"drive.session", "--id", "7FF"}), 2);
  EXPECT_THAT(err_.str(), HasSubstr("nothing to survey with this identifier"));
  EXPECT_EQ(Run({"drive.session", "--follow", "speed"}), 2);
  EXPECT_THAT(err_.str(), HasSubstr("a file must end in .csv"));
  EXPECT_EQ(Run({"drive.session", "--marks", "horn*"}), 2);
  EXPECT_THAT(err_.str(), HasSubstr("no mark fits"));
  EXPECT_EQ(Run({"drive.session", "--noted", "366.1 V"}), 2);
  EXPECT_THAT(err_.str(), HasSubstr("366.1 V at 12:03:10"));
}

TEST_F(Survey, OnlyWhatDefinitionsLeave) {
  Put("drive.session", Drive());
  PutText("car.yaml",
          "vehicle: invented\nframes:\n  one:\n    id: 0x2A1\n    length: 4\n    signals:\n"
          "      speed: {where: bytes 2-3 big}\n");
  const auto document = Document({"drive.session", "--definitions", "car.yaml"});
  ASSERT_EQ(document["identifiers"].size(), 1U);
  EXPECT_EQ(document["identifiers"][0]["id"], "300");
}

TEST_F(Survey, FollowsAFileWithItsOwnClock) {
  Put("drive.session", Drive());
  std::string log = "time_s,speed\n";
  for (int i = 10; i < 1100; ++i) {
    const double second = 0.1 * i;
    log += std::to_string(second) + "," + std::to_string(0.01 * ValueAt(second - 0.7)) + "\n";
  }
  PutText("phone.csv", log);
  const auto document = Document({"drive.session", "--follow", "phone.csv"});
  const auto& partner = document["partners"].at(0);
  EXPECT_EQ(partner["id"], "2A1");
  EXPECT_EQ(partner["where"], "byte 2, byte 3");
  EXPECT_EQ(partner["accepted"], true);
  EXPECT_NEAR(partner["scale"].get<double>(), 0.01, 0.0002);
  EXPECT_NEAR(partner["lag_s"].get<double>(), 0.7, 0.11);
}

TEST_F(Survey, FollowsASignalOfTheDefinitions) {
  std::vector<Frame> frames;
  for (const Frame& frame : Drive()) {
    frames.push_back(frame);
    if (frame.id != 0x2A1) continue;
    Frame known = frame;
    known.id = 0x400;
    frames.push_back(known);
  }
  Put("drive.session", frames);
  PutText("car.yaml",
          "vehicle: invented\nframes:\n  one:\n    id: 0x400\n    length: 4\n    signals:\n"
          "      speed: {where: bytes 2-3 big, scale: 0.01, unit: km/h}\n");
  const auto document =
      Document({"drive.session", "--definitions", "car.yaml", "--follow", "speed"});
  const auto& partner = document["partners"].at(0);
  EXPECT_EQ(partner["id"], "2A1");
  EXPECT_EQ(partner["accepted"], true);
  EXPECT_NEAR(partner["scale"].get<double>(), 0.01, 0.0001);
  EXPECT_NEAR(partner["lag_s"].get<double>(), 0, 0.11);
}

TEST_F(Survey, ReferencesThatCannotBeFollowed) {
  Put("drive.session", Drive());
  PutText("other.csv", "time_s,speed\n1500000000,1\n1500000060,2\n");
  EXPECT_EQ(Run({"drive.session", "--follow", "other.csv"}), 0);
  EXPECT_THAT(out_.str(), HasSubstr("do not meet the recording"));
  PutText("words.csv", "time_s,speed\n1,fast\n");
  EXPECT_EQ(Run({"drive.session", "--follow", "words.csv"}), 2);
  EXPECT_THAT(err_.str(), HasSubstr("words.csv: line 2: \"fast\" is no number"));
  PutText("flat.csv", "time_s,speed\n1,5\n2,5\n30,5\n");
  EXPECT_EQ(Run({"drive.session", "--follow", "flat.csv"}), 0);
  EXPECT_THAT(out_.str(), HasSubstr("it does not change"));
}

TEST_F(Survey, MarksOfASwitch) {
  Put("drive.session", Drive(), {10'800, 28'000, 49'500, 66'900, 92'700, 109'300});
  const auto document = Document({"drive.session", "--marks", "brake*"});
  const auto& bit = document["partners"].at(0);
  EXPECT_EQ(bit["id"], "300");
  EXPECT_EQ(bit["where"], "byte 0 bit 4");
  EXPECT_EQ(bit["accepted"], true);
}

TEST_F(Survey, ThreeMarksProveNothing) {
  Put("drive.session", Drive(), {10'800, 28'000, 49'500});
  EXPECT_EQ(Run({"drive.session", "--marks", "brake*"}), 0);
  EXPECT_THAT(out_.str(), HasSubstr("3 marks prove nothing"));
  EXPECT_THAT(Document({"drive.session", "--marks", "brake*"})["partners"][0]["accepted"],
              ::testing::Eq(false));
}

TEST_F(Survey, NumbersThatWereWrittenDown) {
  Put("drive.session", Drive());
  std::vector<std::string> words = {"drive.session"};
  for (const int second : {10, 25, 40, 58, 71, 93}) {
    words.insert(words.end(), {"--noted", std::to_string(0.1 * ValueAt(second)).substr(0, 6) +
                                              " V at " + std::to_string(second) + " s"});
  }
  const auto document = Document(words);
  ASSERT_FALSE(document["partners"].empty()) << document["notices"];
  EXPECT_EQ(document["partners"][0]["id"], "2A1");
  EXPECT_NEAR(document["partners"][0]["scale"].get<double>(), 0.1, 0.002);
  EXPECT_EQ(Run({"drive.session", "--noted", "366.1 V at 10 s"}), 0);
  EXPECT_THAT(out_.str(), HasSubstr("at least four different numbers"));
}

TEST_F(Survey, ListsWhatAnIdentifierEverSaid) {
  Put("drive.session", Drive(), {10'800, 28'000});
  ASSERT_EQ(Run({"drive.session", "--id", "300", "--contents"}), 0) << err_.str();
  EXPECT_THAT(out_.str(), HasSubstr("300 on pack said 2 different contents in 2,400 frames."));
  EXPECT_THAT(out_.str(), HasSubstr("byte 0 bit 4 on"));
  EXPECT_THAT(out_.str(), HasSubstr("Brake pressed"));
  EXPECT_EQ(Run({"drive.session", "--contents"}), 2);
  EXPECT_THAT(err_.str(), HasSubstr("--contents needs --id"));
}

TEST_F(Survey, WritesADraftAndAddsToItLater) {
  const std::vector<Frame> all = Drive();
  std::vector<Frame> one;
  std::copy_if(all.begin(), all.end(), std::back_inserter(one),
               [](const Frame& frame) { return frame.id == 0x300; });
  Put("switch.session", one);
  Put("drive.session", all);
  ASSERT_EQ(Run({"switch.session", "--write", "car.yaml"}), 0) << err_.str();
  std::string draft = ReadWholeFile(files_, "car.yaml").value();
  EXPECT_THAT(draft, HasSubstr("known from: survey"));
  EXPECT_THAT(draft, HasSubstr("id300_byte0_bit4: {where: \"byte 0 bits 4-7\"}"));
  // What the user settles stays, comments included.
  draft.replace(draft.find("id300_byte0_bit4:"), 17, "brake_switch:");
  draft += "# my own remark\n";
  PutText("car.yaml", draft);
  ASSERT_EQ(Run({"drive.session", "--write", "car.yaml"}), 0) << err_.str();
  const std::string later = ReadWholeFile(files_, "car.yaml").value();
  EXPECT_THAT(later, HasSubstr("brake_switch: {where: \"byte 0 bits 4-7\"}"));
  EXPECT_THAT(later, HasSubstr("# my own remark"));
  EXPECT_THAT(later, HasSubstr("id2A1_byte2: {where: \"byte 2, byte 3\"}"));
  EXPECT_THAT(later, Not(HasSubstr("id300_byte0")));
  ASSERT_EQ(Run({"drive.session", "--write", "car.yaml"}), 0) << err_.str();
  EXPECT_EQ(ReadWholeFile(files_, "car.yaml").value(), later);
}

TEST(FitsPattern, StarsAndQuestionMarks) {
  EXPECT_TRUE(FitsPattern("Brake pressed", "brake*"));
  EXPECT_TRUE(FitsPattern("brake", "b?ake"));
  EXPECT_TRUE(FitsPattern("", "*"));
  EXPECT_FALSE(FitsPattern("horn", "brake*"));
  EXPECT_FALSE(FitsPattern("brakes", "brake"));
}

}  // namespace
}  // namespace proofdrive::tools
