#include "bench/vehicle.h"

#include <set>

#include <gtest/gtest.h>

#include "tests/support/matchers.h"
#include "tests/unit/bench/recording.h"

namespace proofdrive::bench {
namespace {

TEST(VehicleTest, UnknownScenarioNamesThePossibleOnes) {
  VehicleOptions options;
  options.scenario = "flying";
  EXPECT_THAT(Vehicle::Create(options),
              testing::IsError(ErrorKind::kNotFound,
                               "the bench vehicle has no scenario \"flying\"; there are "
                               "coolant-leak, repaired, repaired-air-trapped, drive, updated"));
}

TEST(VehicleTest, SameSeedGivesTheSameFramesBitForBit) {
  for (const std::string& scenario : ScenarioNames()) {
    const Recording again = Record(scenario);
    EXPECT_TRUE(again.frames == Recorded(scenario).frames) << scenario;
    EXPECT_EQ(again.truth, Recorded(scenario).truth) << scenario;
  }
}

TEST(VehicleTest, AnotherSeedGivesOtherFrames) {
  EXPECT_FALSE(Recorded("repaired", 1).frames == Recorded("repaired", 2).frames);
}

// Pins the frames across compilers, build types and machines: FNV-1a over all of them. When the
// model is changed on purpose, so is this number.
TEST(VehicleTest, FramesDoNotDependOnTheCompiler) {
  std::uint64_t hash = 0xCBF29CE484222325;
  const auto add = [&hash](std::uint64_t value) {
    for (int i = 0; i < 8; ++i) {
      hash = (hash ^ ((value >> (8 * i)) & 0xFF)) * 0x100000001B3;
    }
  };
  for (const Frame& frame : Recorded("drive").frames) {
    add(static_cast<std::uint64_t>(ToNanoseconds(frame.time)));
    add(frame.id);
    for (const std::uint8_t byte : frame.payload()) add(byte);
  }
  EXPECT_EQ(hash, 730219504957886506u);
}

TEST(VehicleTest, PiecesGiveTheSameAsOneRun) {
  VehicleOptions options;
  options.scenario = "repaired";
  options.start = kStart;
  const auto vehicle = std::move(Vehicle::Create(options)).value();
  std::vector<Frame> frames;
  Duration until{0};
  bool more = true;
  while (more) {
    until += std::chrono::microseconds(37'113);
    const std::size_t before = frames.size();
    more = vehicle->Run(until, frames);
    for (std::size_t i = before; i < frames.size(); ++i) {
      ASSERT_LT(frames[i].time, kStart + until);
    }
  }
  EXPECT_TRUE(frames == Recorded("repaired").frames);
}

TEST(VehicleTest, EndsWithTheScenario) {
  for (const std::string& scenario : ScenarioNames()) {
    const Recording& recording = Recorded(scenario);
    EXPECT_GE(recording.duration, std::chrono::seconds(90));
    EXPECT_LE(recording.duration, std::chrono::minutes(10));
    EXPECT_LT(recording.frames.back().time, kStart + recording.duration);
    EXPECT_GT(recording.frames.back().time,
              kStart + recording.duration - std::chrono::milliseconds(20));
  }
}

TEST(VehicleTest, FramesAreValidInOrderAndOnTheGivenChannels) {
  VehicleOptions options;
  options.scenario = "repaired";
  options.start = kStart;
  options.first_channel = 5;
  const auto vehicle = std::move(Vehicle::Create(options)).value();
  std::vector<Frame> frames;
  vehicle->Run(std::chrono::seconds(5), frames);
  WallTime last = kStart;
  std::set<int> channels;
  for (const Frame& frame : frames) {
    EXPECT_OK(Validate(frame));
    EXPECT_GE(frame.time, last);
    last = frame.time;
    channels.insert(frame.channel);
  }
  EXPECT_EQ(channels, (std::set<int>{5, 6}));
}

TEST(VehicleTest, TruthSaysInventedAndCountsTheFrames) {
  for (const std::string& scenario : ScenarioNames()) {
    const Recording& recording = Recorded(scenario);
    EXPECT_TRUE(recording.truth.contains("invented"));
    std::size_t frames = 0;
    for (const auto& row : recording.truth["frames"]) frames += row["count"].get<std::size_t>();
    EXPECT_EQ(frames, recording.frames.size()) << scenario;
  }
}

}  // namespace
}  // namespace proofdrive::bench
