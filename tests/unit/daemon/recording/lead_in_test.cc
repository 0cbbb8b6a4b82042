#include "daemon/recording/lead_in.h"

#include <gtest/gtest.h>

namespace proofdrive::daemon {
namespace {

using std::chrono::milliseconds;
using std::chrono::seconds;

std::vector<Frame> Frames(std::size_t count, Duration from) {
  std::vector<Frame> frames(count);
  for (std::size_t i = 0; i < count; ++i) {
    frames[i].time = WallTime(from + milliseconds(10) * static_cast<int>(i));
  }
  return frames;
}

TEST(LeadInTest, KeepsTheLastSeconds) {
  LeadIn lead_in(seconds(2));
  lead_in.Add(Frames(1000, seconds(100)));
  const auto frames = lead_in.frames();
  ASSERT_EQ(frames.size(), 201u);
  EXPECT_EQ(frames.front().time, WallTime(seconds(100) + milliseconds(7990)));
  session::Event event;
  event.time = WallTime(seconds(109));
  lead_in.AddEvent(event);
  EXPECT_EQ(lead_in.events().size(), 1u);
  lead_in.Add(Frames(1, seconds(112)));
  EXPECT_EQ(lead_in.frames().size(), 1u);
  EXPECT_TRUE(lead_in.events().empty());
}

TEST(LeadInTest, ZeroKeepsNothing) {
  LeadIn lead_in(Duration(0));
  lead_in.Add(Frames(10, seconds(1)));
  lead_in.AddEvent({});
  EXPECT_TRUE(lead_in.frames().empty());
  EXPECT_TRUE(lead_in.events().empty());
}

TEST(LeadInTest, MemoryIsBoundedWhateverTheTimesSay) {
  LeadIn lead_in(seconds(60));
  for (int i = 0; i < 20; ++i) lead_in.Add(std::vector<Frame>(20'000));
  EXPECT_EQ(lead_in.frames().size(), LeadIn::kMostFrames);
  lead_in.Add(std::vector<Frame>(LeadIn::kMostFrames + 5));
  EXPECT_EQ(lead_in.frames().size(), LeadIn::kMostFrames);
  for (int i = 0; i < 3000; ++i) lead_in.AddEvent({});
  EXPECT_EQ(lead_in.events().size(), LeadIn::kMostEvents);
}

}  // namespace
}  // namespace proofdrive::daemon
