// info --faults by its command line. Not a golden case: the size of a session varies by a byte or
// two from run to run, because its salt is drawn anew.
#include <gmock/gmock.h>

#include <sstream>

#include "tests/support/matchers.h"
#include "tests/support/memory_files.h"
#include "tests/support/session_script.h"
#include "tools/shell/command.h"

namespace proofdrive::tools {
namespace {

using ::testing::EndsWith;
using ::testing::HasSubstr;
using ::testing::Not;

constexpr char kDefinitions[] = R"(byte order: big
buses: {pack: {bitrate: 500000}}
frames:
  pack_status:
    bus: pack
    id: 0x2A1
    length: 8
    signals:
      pack_voltage: {where: bytes 0-1, unit: V}
    counter: {where: byte 5 bits 0-3, counts to: 14}
)";

// The counter goes 1, 2, 5; the last frame is short.
constexpr char kFrames[] = R"(name a
channel 0 pack
at 0 s    pack 2A1  0F A0 00 64 01 01 3C 00
at 0.1 s  pack 2A1  0F A1 FF 9C 02 02 FF 00
at 0.2 s  pack 2A1  0F A1 FF 9C 02 05 FF 00
at 0.3 s  pack 2A1  0F A1 FF 9C 02 06
)";

class InfoFaults : public ::testing::Test {
 protected:
  void SetUp() override {
    const std::string definitions = kDefinitions;
    files_.Put("car.yaml", {definitions.begin(), definitions.end()});
    ASSERT_OK(testing::WriteSession(files_, "bare.session", kFrames));
    ASSERT_OK(testing::WriteSession(files_, "a.session",
                                    std::string(kFrames) + "definitions car.yaml\n"));
  }
  int Run(std::vector<const char*> words) {
    words.insert(words.begin(), {"proofdrive", "info"});
    Environment environment{files_, out_, err_, false};
    return RunTool(static_cast<int>(words.size()), words.data(), environment);
  }

  testing::MemoryFiles files_;
  std::ostringstream out_;
  std::ostringstream err_;
};

constexpr char kTable[] =
    "\nFrames with faults, in the whole session (a frame whose checksum fails gives no values)\n\n"
    "FRAME        ID   RECEIVED  COUNTER  CHECKSUM  LENGTH\n"
    "pack_status  2A1         4        1         0       1\n";

TEST_F(InfoFaults, AreCountedOnRequestOnly) {
  EXPECT_EQ(Run({"a.session"}), 0);
  EXPECT_THAT(out_.str(), Not(HasSubstr("faults")));
  EXPECT_EQ(Run({"a.session", "--faults"}), 0);
  EXPECT_THAT(out_.str(), EndsWith(kTable));
}

TEST_F(InfoFaults, NeedDefinitions) {
  EXPECT_EQ(Run({"bare.session", "--faults"}), 2);
  EXPECT_EQ(err_.str(),
            "proofdrive: bare.session has no definitions stored with it, which say where counters "
            "and checksums are; give definition files with --definitions FILE\n");
  EXPECT_EQ(Run({"bare.session", "--faults", "--definitions", "car.yaml"}), 0);
  EXPECT_THAT(out_.str(), EndsWith(kTable));
}

TEST_F(InfoFaults, AreInTheJson) {
  EXPECT_EQ(Run({"a.session", "--faults", "--json"}), 0);
  EXPECT_THAT(out_.str(), HasSubstr("\"faults\": ["));
  EXPECT_THAT(out_.str(), HasSubstr("\"counter\": 1"));
}

}  // namespace
}  // namespace proofdrive::tools
