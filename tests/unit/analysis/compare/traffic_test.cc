#include "analysis/compare/traffic.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <random>

#include "analysis/compare/traffic_details.h"

#include "analysis/session/traffic_stats.h"

namespace proofdrive::analysis {
namespace {

using std::chrono::microseconds;
using std::chrono::milliseconds;
using std::chrono::seconds;

// Findings of a session made of plain rows.
class Recording {
 public:
  explicit Recording(std::string bus = "pack") {
    session::Channel channel;
    channel.bus = std::move(bus);
    findings_.header.channels = {channel};
  }
  void Every(Duration period, Duration length, std::uint32_t id, std::uint8_t bytes = 8) {
    for (Duration time{0}; time < length; time += period) Add(time, id, bytes);
  }
  void Add(Duration time, std::uint32_t id, std::uint8_t bytes = 8) {
    Frame frame;
    frame.time = WallTime(time);
    frame.id = id;
    frame.length = bytes;
    frames_.push_back(frame);
  }
  SessionFindings Findings() {
    std::stable_sort(frames_.begin(), frames_.end(),
                     [](const Frame& a, const Frame& b) { return a.time < b.time; });
    TrafficStats stats;
    for (const Frame& frame : frames_) stats.Add(frame, frame.time - WallTime());
    findings_.traffic = stats.Finish();
    findings_.length = frames_.empty() ? Duration(0) : frames_.back().time - WallTime();
    return findings_;
  }

 private:
  SessionFindings findings_;
  std::vector<Frame> frames_;
};

std::size_t Differences(const TrafficComparison& comparison) {
  return comparison.only_before.size() + comparison.only_after.size() + comparison.period.size() +
         comparison.length.size();
}

TEST(CompareTraffic, NamesIdentifiersSeenOnOneSideOnly) {
  Recording before, after;
  before.Every(milliseconds(100), seconds(10), 0x100);
  after.Every(milliseconds(100), seconds(10), 0x100);
  before.Every(milliseconds(100), seconds(10), 0x101);
  after.Every(milliseconds(50), seconds(10), 0x102);
  const auto traffic = CompareTraffic(before.Findings(), after.Findings());
  ASSERT_EQ(traffic.only_before.size(), 1U);
  EXPECT_EQ(traffic.only_before[0].stream.id, 0x101U);
  EXPECT_EQ(traffic.only_before[0].frames, 100U);
  EXPECT_FALSE(traffic.only_before[0].may_be_chance);
  ASSERT_EQ(traffic.only_after.size(), 1U);
  EXPECT_EQ(traffic.only_after[0].stream.id, 0x102U);
  EXPECT_EQ(traffic.in_both, 1U);
}

TEST(CompareTraffic, RareIdentifierMayBeMissingByChance) {
  Recording before, after;
  before.Every(milliseconds(100), seconds(10), 0x100);
  after.Every(milliseconds(100), seconds(10), 0x100);
  before.Add(seconds(1), 0x7E8);
  before.Add(seconds(2), 0x7E8);
  const auto traffic = CompareTraffic(before.Findings(), after.Findings());
  ASSERT_EQ(traffic.only_before.size(), 1U);
  EXPECT_TRUE(traffic.only_before[0].may_be_chance);
}

// 0.5^9 is 0.00195, 0.5^10 is 0.00098.
TEST(CompareTraffic, TenFramesAreMissedInAnEquallyLongSession) {
  for (const int frames : {9, 10}) {
    Recording before, after;
    before.Every(milliseconds(100), seconds(10), 0x100);
    after.Every(milliseconds(100), seconds(10), 0x100);
    for (int i = 0; i < frames; ++i) before.Add(milliseconds(300 * i + 1), 0x7E8);
    const auto traffic = CompareTraffic(before.Findings(), after.Findings());
    ASSERT_EQ(traffic.only_before.size(), 1U);
    EXPECT_EQ(traffic.only_before[0].may_be_chance, frames == 9);
  }
}

TEST(CompareTraffic, SingleFrameMayBeChanceHoweverLongTheOtherSession) {
  Recording before, after;
  before.Every(milliseconds(100), seconds(6), 0x100);
  after.Every(milliseconds(100), seconds(90), 0x100);
  before.Add(seconds(1), 0x7E8);
  EXPECT_TRUE(CompareTraffic(before.Findings(), after.Findings()).only_before[0].may_be_chance);
}

TEST(CompareTraffic, WhatIsRareDependsOnTheLengthOfTheOtherSession) {
  Recording before, after;
  before.Every(seconds(1), seconds(100), 0x100);
  before.Every(seconds(1), seconds(100), 0x101);
  after.Every(seconds(1), seconds(5), 0x100);
  const auto traffic = CompareTraffic(before.Findings(), after.Findings());
  ASSERT_EQ(traffic.only_before.size(), 1U);
  EXPECT_TRUE(traffic.only_before[0].may_be_chance);
}

TEST(CompareTraffic, PeriodOutsideTheToleranceIsReportedInBothDirections) {
  for (const auto& [old_ms, new_ms] : {std::pair(20, 26), std::pair(26, 20)}) {
    Recording before, after;
    before.Every(milliseconds(old_ms), seconds(10), 0x100);
    after.Every(milliseconds(new_ms), seconds(10), 0x100);
    const auto traffic = CompareTraffic(before.Findings(), after.Findings());
    ASSERT_EQ(traffic.period.size(), 1U) << old_ms;
    EXPECT_NEAR(ToSeconds(traffic.period[0].before), old_ms / 1e3, 1e-8);
    EXPECT_NEAR(ToSeconds(traffic.period[0].after), new_ms / 1e3, 1e-8);
  }
}

TEST(CompareTraffic, PeriodWithinTheToleranceIsNot) {
  Recording before, after;
  before.Every(milliseconds(20), seconds(10), 0x100);
  after.Every(milliseconds(24), seconds(10), 0x100);
  EXPECT_TRUE(CompareTraffic(before.Findings(), after.Findings()).period.empty());
}

TEST(CompareTraffic, FewFramesGiveNoVerdictOnThePeriod) {
  Recording before, after;
  before.Every(milliseconds(500), seconds(10), 0x100);  // 20 frames, 19 intervals
  after.Every(milliseconds(100), seconds(10), 0x100);
  EXPECT_TRUE(CompareTraffic(before.Findings(), after.Findings()).period.empty());
}

TEST(CompareTraffic, BurstsWithTheSameRateAreTheSame) {
  // Two frames together every 20 ms; the halves of the burst change places.
  Recording before, after;
  for (int i = 0; i < 501; ++i) {
    before.Add(milliseconds(20 * i), 0x100);
    if (i < 500) before.Add(milliseconds(20 * i + 1), 0x100);
    after.Add(milliseconds(20 * i), 0x100);
    if (i > 0) after.Add(milliseconds(20 * i + 1), 0x100);
  }
  EXPECT_TRUE(CompareTraffic(before.Findings(), after.Findings()).period.empty());
}

TEST(CompareTraffic, PauseOfTheSenderIsNoChangeOfPeriod) {
  Recording before, after;
  before.Every(milliseconds(20), seconds(20), 0x100);
  after.Every(milliseconds(20), seconds(10), 0x100);
  after.Add(seconds(20), 0x100);
  EXPECT_TRUE(CompareTraffic(before.Findings(), after.Findings()).period.empty());
}

TEST(CompareTraffic, LengthThatIsNewOrGoneIsReported) {
  Recording before, after;
  before.Every(milliseconds(20), seconds(10), 0x100, 4);
  after.Every(milliseconds(20), seconds(10), 0x100, 6);
  const auto traffic = CompareTraffic(before.Findings(), after.Findings());
  ASSERT_EQ(traffic.length.size(), 1U);
  EXPECT_EQ(traffic.length[0].before, (std::map<std::uint8_t, std::uint64_t>{{4, 500}}));
  EXPECT_EQ(traffic.length[0].after, (std::map<std::uint8_t, std::uint64_t>{{6, 500}}));
}

TEST(CompareTraffic, SingleOddLengthMayBeChance) {
  Recording before, after;
  before.Every(milliseconds(20), seconds(10), 0x100, 4);
  after.Every(milliseconds(20), seconds(10), 0x100, 4);
  after.Add(seconds(5) + milliseconds(1), 0x100, 2);
  EXPECT_TRUE(CompareTraffic(before.Findings(), after.Findings()).length.empty());
}

TEST(CompareTraffic, ChannelsAreMatchedByBusName) {
  Recording before("pack"), after("pack");
  before.Every(milliseconds(20), seconds(10), 0x100);
  after.Every(milliseconds(20), seconds(10), 0x100);
  SessionFindings moved = after.Findings();
  moved.header.channels[0].number = 3;
  moved.traffic[0].channel = 3;
  EXPECT_EQ(Differences(CompareTraffic(before.Findings(), moved)), 0U);
}

TEST(CompareTraffic, ChannelsWithoutACommonNameAreMatchedByNumber) {
  Recording before("pack"), after("");
  before.Every(milliseconds(20), seconds(10), 0x100);
  after.Every(milliseconds(20), seconds(10), 0x100);
  EXPECT_EQ(Differences(CompareTraffic(before.Findings(), after.Findings())), 0U);
}

TEST(CompareTraffic, OtherBusOfTheSameNumberIsNotMixedUp) {
  Recording before("pack"), after("pack");
  before.Every(milliseconds(20), seconds(10), 0x100);
  after.Every(milliseconds(20), seconds(10), 0x100);
  SessionFindings two = after.Findings();
  session::Channel drive;
  drive.number = 1;
  drive.bus = "drive";
  two.header.channels.push_back(drive);
  StreamTraffic extra = two.traffic[0];
  extra.channel = 1;
  two.traffic.push_back(extra);
  const auto traffic = CompareTraffic(before.Findings(), two);
  ASSERT_EQ(traffic.only_after.size(), 1U);
  EXPECT_EQ(traffic.only_after[0].stream.bus, "drive");
}

TEST(CompareTraffic, ReportsOfTheAdapterAreNotTraffic) {
  Recording before, after;
  before.Every(milliseconds(20), seconds(10), 0x100);
  SessionFindings noisy = before.Findings();
  StreamTraffic errors = noisy.traffic[0];
  errors.flags = kErrorMessage;
  noisy.traffic.push_back(errors);
  EXPECT_EQ(Differences(CompareTraffic(before.Findings(), noisy)), 0U);
}

TEST(CompareTraffic, EmptySessionIsComparedWithoutFuss) {
  Recording before, after;
  before.Every(milliseconds(20), seconds(10), 0x100);
  const auto traffic = CompareTraffic(before.Findings(), after.Findings());
  ASSERT_EQ(traffic.only_before.size(), 1U);
  EXPECT_TRUE(traffic.only_before[0].may_be_chance);
}

// One healthy recording cut in two: jittered periods, events at random, bursts. Nothing may be
// called changed, whatever the seed.
TEST(CompareTraffic, TwoHalvesOfOneHealthyRecordingAreTheSame) {
  const auto first_seed = static_cast<unsigned>(::testing::UnitTest::GetInstance()->random_seed());
  for (unsigned seed = first_seed; seed < first_seed + 50; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    std::mt19937 random(seed);
    std::normal_distribution<double> jitter(0, 0.0008);
    std::exponential_distribution<double> wait(0.5);
    Recording halves[2];
    const auto add = [&](double time, std::uint32_t id) {
      if (time < 0 || time >= 120) return;
      const int half = time < 60 ? 0 : 1;
      halves[half].Add(microseconds(static_cast<int>((time - 60 * half) * 1e6)), id);
    };
    for (std::uint32_t id = 0; id < 20; ++id) {
      const double period = 0.01 * (1 + id);
      for (double time = 0; time < 120; time += period) add(time + jitter(random), id);
    }
    for (std::uint32_t id = 0x500; id < 0x510; ++id) {
      for (double time = wait(random); time < 120; time += wait(random)) add(time, id);
    }
    const auto traffic = CompareTraffic(halves[0].Findings(), halves[1].Findings());
    EXPECT_TRUE(traffic.period.empty());
    EXPECT_TRUE(traffic.length.empty());
    for (const OneSided& stream : traffic.only_before) EXPECT_TRUE(stream.may_be_chance);
    for (const OneSided& stream : traffic.only_after) EXPECT_TRUE(stream.may_be_chance);
  }
}

// Bytes that never change within a session.
StreamTraffic Constant(const std::vector<std::uint8_t>& payload,
                       const std::vector<std::uint8_t>& changed = {}) {
  StreamTraffic stream;
  stream.frames = 10;
  stream.last_payload = payload;
  stream.changed = changed;
  return stream;
}

std::string ConstantsOf(const StreamTraffic& before, const StreamTraffic& after,
                        const std::vector<std::uint8_t>& described = {}) {
  TrafficComparison comparison;
  CompareConstants({}, before, after, described, comparison);
  return comparison.constants.empty() ? "" : comparison.constants[0].what;
}

TEST(CompareConstants, BytesThatNeverChangeAndDifferAreTold) {
  EXPECT_EQ(ConstantsOf(Constant({1, 0x0E, 3}), Constant({1, 0x0F, 4})),
            "byte 1: 0E before, 0F after; byte 2: 03 before, 04 after");
  EXPECT_EQ(ConstantsOf(Constant({1, 2}), Constant({1, 2})), "");
}

TEST(CompareConstants, WhatMovesOrIsDescribedIsLeftToOthers) {
  EXPECT_EQ(ConstantsOf(Constant({1, 2}, {0xFF, 0}), Constant({9, 2})), "");
  EXPECT_EQ(ConstantsOf(Constant({1, 2}), Constant({9, 2}, {0xFF, 0})), "");
  EXPECT_EQ(ConstantsOf(Constant({1, 2}), Constant({9, 2}), {0xFF}), "");
  // Of a byte in part: the bits that are looked at and differ.
  EXPECT_EQ(ConstantsOf(Constant({0x13}), Constant({0x24}), {0x0F}),
            "byte 0 bits 4-5: 10 before, 20 after");
}

TEST(CompareConstants, NotWithFewFramesOrAnotherLength) {
  StreamTraffic few = Constant({1});
  few.frames = kConstantFrames - 1;
  EXPECT_EQ(ConstantsOf(few, Constant({2})), "");
  EXPECT_EQ(ConstantsOf(Constant({1}), Constant({2, 0})), "");
}

// Its definition says that it moved: one frame, not one that vanished and one that appeared.
TEST(CompareTraffic, MovedFrameIsComparedAsOne) {
  Recording before, after;
  before.Every(milliseconds(100), seconds(10), 0x240);
  after.Every(milliseconds(50), seconds(10), 0x241);
  SessionFindings old = before.Findings(), now = after.Findings();
  auto definitions = std::make_shared<decoders::Definitions>();
  decoders::FrameDefinition& frame = definitions->frames.emplace_back();
  frame.name = "supply";
  frame.id = 0x240;
  frame.moved_to = 0x241;
  for (SessionFindings* one : {&old, &now}) {
    one->definitions = definitions;
    one->faults.resize(1);
    one->traffic[0].frame = "supply";
  }
  const auto traffic = CompareTraffic(old, now);
  EXPECT_TRUE(traffic.only_before.empty());
  EXPECT_TRUE(traffic.only_after.empty());
  ASSERT_EQ(traffic.moved.size(), 1U);
  EXPECT_EQ(traffic.moved[0].before.id, 0x240U);
  EXPECT_EQ(traffic.moved[0].after.id, 0x241U);
  EXPECT_EQ(traffic.period.size(), 1U) << "its period is compared";
}

TEST(DescribedBits, AreThoseOfSignalsPagesCounterAndChecksum) {
  decoders::Definitions definitions;
  decoders::FrameDefinition& frame = definitions.frames.emplace_back();
  frame.name = "status";
  frame.signals = {0};
  decoders::Signal& signal = definitions.signals.emplace_back();
  signal.location.pieces = {{1, 0, 8}, {2, 6, 2}};
  frame.page.emplace().pieces = {{0, 0, 3}};
  frame.counter.emplace().location.pieces = {{3, 4, 4}};
  EXPECT_EQ(BitsText(DescribedBits(&definitions, "status")),
            "byte 0 bits 0-2, byte 1, byte 2 bits 6-7, byte 3 bits 4-7");
  EXPECT_TRUE(DescribedBits(&definitions, "").empty());
  EXPECT_TRUE(DescribedBits(nullptr, "status").empty());
}

}  // namespace
}  // namespace proofdrive::analysis
