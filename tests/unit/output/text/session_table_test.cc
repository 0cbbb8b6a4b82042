#include "output/text/session_table.h"

#include <gmock/gmock.h>

namespace proofdrive::output {
namespace {

WallTime At(int second) { return WallTime(std::chrono::seconds(1'772'366'400 + second)); }

SessionInfo Info(const std::string& name, int second, std::uint64_t frames) {
  SessionInfo info;
  info.path = "d/" + name + ".session";
  info.parts = {{info.path, 1}};
  info.frames = frames;
  info.file_bytes = frames * 3;
  info.header.started.wall = At(second);
  if (frames > 0) {
    info.first = At(second);
    info.last = At(second + 90);
  }
  return info;
}

TEST(SessionTableTest, OneLineEachInOrderOfTime) {
  SessionInfo after = Info("after", 100'000, 2'000);
  after.header.stage = session::Stage::kAfterRepair;
  after.header.vehicle = "Bramble Seven (invented)";
  after.parts.push_back({"d/after.part-0002.session", 2});
  after.state = session::State::kDamaged;
  after.losses = {{session::Loss::Severity::kDataLoss, 0, 0, "part 3 is missing", ""}};
  SessionInfo before = Info("before", 0, 1'234'567);
  before.header.stage = session::Stage::kArrival;
  ChannelSummary channel;
  channel.error_messages = 12;
  channel.drops = 34;
  before.channels = {channel};
  session::Event mark;
  mark.kind = session::EventKind::kMark;
  before.events = {mark, session::Event{}, mark};
  SessionInfo running = Info("running", 200'000, 0);
  running.state = session::State::kRecording;
  EXPECT_EQ(FormatSessionTable({after, running, before}, {{"d/x.session", "not a session"}}),
            "Session           State      Stage         Began                 Length     "
            "Frames  B/frame  Errors  Lost  Marks  Vehicle\n"
            "before.session    complete   arrival       2026-03-01T12:00:00Z    90 s  "
            "1,234,567        3      12    34      2\n"
            "after.session +1  damaged    after-repair  2026-03-02T15:46:40Z    90 s      "
            "2,000        3       0     0      0  Bramble Seven (invented)\n"
            "running.session   recording                2026-03-03T19:33:20Z                 "
            " 0                0     0      0\n"
            "State: as the index says; \"proofdrive verify\" reads everything.\n"
            "+N: so many further parts.\n"
            "Not readable: d/x.session: not a session\n");
}

TEST(SessionTableTest, NothingReadable) {
  EXPECT_EQ(FormatSessionTable({}, {{"x", "why"}}), "Not readable: x: why\n");
}

}  // namespace
}  // namespace proofdrive::output
