#include "daemon/process/status_line.h"

#include <gtest/gtest.h>

#include <sstream>

#include "tests/support/keeping_log.h"

namespace proofdrive::daemon {
namespace {

TEST(StatusLineTest, SaysWhatMatters) {
  Snapshot snapshot;
  snapshot.frames_per_s = 1204.4;
  EXPECT_EQ(StatusLineText(snapshot), "listening  1,204 frames/s  0 lost");
  snapshot.definitions = std::make_shared<decoders::Definitions>();
  snapshot.warnings.resize(3);
  snapshot.warnings[1].kind = decoders::WarningStateKind::kOn;
  snapshot.drops = 12;
  snapshot.recording.emplace();
  snapshot.recording->name = "repair-1";
  snapshot.recording->length = std::chrono::seconds(185);
  EXPECT_EQ(StatusLineText(snapshot),
            "recording repair-1  3 min 05 s  1,204 frames/s  1 warnings on  12 lost");
}

TEST(StatusLineTest, LogLinesDoNotMixWithTheLine) {
  testing::KeepingLog log;
  std::ostringstream terminal;
  {
    StatusLine line(log, terminal);
    line.Show("one");
    line.Write(LogLevel::kInfo, "news");
    EXPECT_EQ(terminal.str(), "\r\033[Kone\r\033[Kone");
  }
  EXPECT_EQ(log.lines(), std::vector<std::string>{"news"});
  EXPECT_EQ(terminal.str(), "\r\033[Kone\r\033[Kone\r\033[K");
}

}  // namespace
}  // namespace proofdrive::daemon
