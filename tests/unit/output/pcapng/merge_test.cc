#include "output/pcapng/merge.h"

#include <gmock/gmock.h>

#include <random>

#include "tests/unit/output/pcapng/capture_bytes.h"

namespace proofdrive::output {
namespace {

using ::testing::ElementsAre;
using namespace testing;  // NOLINT: capture_bytes.h
using std::chrono::milliseconds;

// A frame of `channel` at `ms`, told apart by its identifier.
Frame At(std::uint8_t channel, std::int64_t ms, std::uint32_t id = 0) {
  return MakeFrame(ms * 1'000'000, id, 0, "", channel);
}

struct Merged {
  std::vector<Frame> out;
  std::vector<ChannelStep> steps;
  MergeStats stats;

  std::vector<std::uint32_t> ids() const {
    std::vector<std::uint32_t> all;
    for (const Frame& frame : out) all.push_back(frame.id);
    return all;
  }
};

Merged Merge(const std::vector<Frame>& in, MergeLimits limits = {}) {
  Merged run;
  ChannelMerger merger([&](const Frame& frame) { run.out.push_back(frame); }, limits);
  for (const Frame& frame : in) {
    if (const auto step = merger.Add(frame)) run.steps.push_back(*step);
  }
  merger.Flush();
  run.stats = merger.stats();
  return run;
}

TEST(Merge, ChannelsOutOfOrderWithEachOtherAreMergedByTime) {
  const Merged run = Merge({At(0, 10, 1), At(0, 20, 2), At(0, 30, 3), At(1, 12, 4), At(1, 25, 5)});
  EXPECT_THAT(run.ids(), ElementsAre(1, 4, 2, 5, 3));
  EXPECT_EQ(run.stats.cross_steps, 1u);
  EXPECT_EQ(run.stats.largest_cross_step, milliseconds(18));
  EXPECT_EQ(run.stats.cross_steps_left, 0u);
  EXPECT_TRUE(run.steps.empty());
}

TEST(Merge, EqualTimesKeepTheOrderOfTheFile) {
  EXPECT_THAT(Merge({At(1, 10, 1), At(0, 10, 2), At(1, 10, 3)}).ids(), ElementsAre(1, 2, 3));
}

TEST(Merge, OneChannelIsNeverReorderedWhateverItsClockDoes) {
  const Merged run = Merge({At(0, 100, 1), At(0, 90, 2), At(0, 95, 3), At(0, 5, 4), At(0, 200, 5)});
  EXPECT_THAT(run.ids(), ElementsAre(1, 2, 3, 4, 5));
  ASSERT_EQ(run.steps.size(), 2u);
  EXPECT_EQ(run.steps[0].step, milliseconds(-10));
  EXPECT_EQ(run.steps[1].step, milliseconds(-90));
  EXPECT_EQ(run.stats.channel_steps, 2u);
  EXPECT_EQ(run.stats.largest_channel_step, milliseconds(90));
}

TEST(Merge, SmallBackwardStepKeepsTheChannelAtItsLatestTime) {
  // Channel 0 hesitates at 100; what channel 1 sends at 95 still goes before it.
  const Merged run =
      Merge({At(0, 100, 1), At(0, 80, 2), At(1, 95, 3), At(1, 101, 4), At(0, 102, 5)});
  EXPECT_THAT(run.ids(), ElementsAre(3, 1, 2, 4, 5));
}

TEST(Merge, BothChannelsSteppingBackFarAreMergedAgainAfterwards) {
  const Merged run = Merge({At(0, 10'000, 1), At(1, 9'990, 2),  //
                            At(0, 1'000, 3), At(1, 1'005, 4), At(1, 1'015, 5), At(0, 1'010, 6)});
  EXPECT_THAT(run.ids(), ElementsAre(2, 1, 3, 4, 6, 5));
  EXPECT_EQ(run.steps.size(), 2u);
}

TEST(Merge, ALateFrameBeyondTheWindowIsPassedOnAndCounted) {
  const Merged run = Merge({At(0, 0, 1), At(0, 1'000, 2), At(0, 2'000, 3), At(1, 1'500, 4)});
  EXPECT_THAT(run.ids(), ElementsAre(1, 2, 4, 3));
  const Merged late = Merge({At(0, 0, 1), At(0, 1'000, 2), At(0, 2'000, 3), At(1, 500, 4)});
  EXPECT_THAT(late.ids(), ElementsAre(1, 2, 4, 3));
  EXPECT_EQ(late.stats.cross_steps_left, 1u);
}

TEST(Merge, MemoryIsBoundedByFrames) {
  MergeLimits limits;
  limits.frames = 2;
  EXPECT_THAT(Merge({At(0, 10, 1), At(0, 20, 2), At(0, 30, 3), At(1, 5, 4)}, limits).ids(),
              ElementsAre(1, 4, 2, 3));
}

TEST(Merge, ExtremeTimesDoNotOverflow) {
  const Frame early = MakeFrame(std::numeric_limits<std::int64_t>::min(), 1, 0, "");
  const Frame late = MakeFrame(std::numeric_limits<std::int64_t>::max(), 2, 0, "", 1);
  EXPECT_THAT(Merge({late, early, late, early}).ids(), ElementsAre(1, 1, 2, 2));
  const Merged step = Merge({MakeFrame(std::numeric_limits<std::int64_t>::max(), 1, 0, ""), early});
  ASSERT_EQ(step.steps.size(), 1u);
  EXPECT_EQ(step.steps[0].step, -Duration::max());
}

TEST(Merge, RandomFramesKeepEveryChannelAndAreMergedWithinTheWindow) {
  const std::uint32_t seed = std::random_device{}();
  SCOPED_TRACE("seed " + std::to_string(seed));
  std::mt19937 random(seed);
  std::vector<Frame> in;
  std::array<std::int64_t, 3> lag_ms = {0, 35, 12};
  for (std::uint32_t i = 0; i < 3000; ++i) {
    const auto channel = static_cast<std::uint8_t>(random() % 3);
    in.push_back(At(channel, std::int64_t{i} - lag_ms[channel] + 1000, i % 0x7FF));
  }
  const Merged run = Merge(in);
  ASSERT_EQ(run.out.size(), in.size());
  EXPECT_TRUE(std::is_sorted(run.out.begin(), run.out.end(),
                             [](const Frame& a, const Frame& b) { return a.time < b.time; }));
  for (std::uint8_t channel = 0; channel < 3; ++channel) {
    const auto of_channel = [channel](const std::vector<Frame>& frames) {
      std::vector<Frame> part;
      for (const Frame& frame : frames) {
        if (frame.channel == channel) part.push_back(frame);
      }
      return part;
    };
    EXPECT_EQ(of_channel(run.out), of_channel(in));
  }
}

}  // namespace
}  // namespace proofdrive::output
