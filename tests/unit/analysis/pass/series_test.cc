#include "analysis/pass/read_series.h"

#include <gmock/gmock.h>

#include <iostream>

#include "decoders/language/loader.h"
#include "session/writer.h"
#include "tests/support/matchers.h"
#include "tests/support/memory_files.h"
#include "tests/support/series_reference.h"
#include "tests/support/session_script.h"
#include "tests/unit/analysis/pass/random_vehicle.h"

namespace proofdrive::analysis {
namespace {

using std::chrono::milliseconds;
using ::testing::ElementsAre;
using ::testing::IsEmpty;
using ::testing::SizeIs;

std::shared_ptr<const decoders::Definitions> Load(const std::string& text) {
  const decoders::SourceText source{"car.yaml", text};
  const auto loaded = decoders::LoadDefinitions(std::span(&source, 1));
  EXPECT_TRUE(loaded.ok()) << decoders::FormatDiagnostics(loaded.diagnostics) << text;
  return loaded.definitions;
}

class SeriesTest : public ::testing::Test {
 protected:
  std::unique_ptr<session::Reader> Write(const std::string& frames) {
    EXPECT_OK(testing::WriteSession(files_, "a.session",
                                    "channel 0 pack\nstart 2026-03-01T12:00:00Z\n" + frames));
    return Open();
  }

  std::unique_ptr<session::Reader> Write(const std::vector<Frame>& frames) {
    session::Header header;
    for (const auto& [number, bus] : {std::pair(0, "one"), std::pair(1, "two"), std::pair(2, "")}) {
      session::Channel channel;
      channel.number = static_cast<std::uint8_t>(number);
      channel.bus = bus;
      header.channels.push_back(channel);
    }
    auto writer = session::Writer::Create(files_, "a.session", header);
    EXPECT_OK(writer);
    EXPECT_OK((*writer)->Append(frames));
    EXPECT_OK((*writer)->Finish());
    return Open();
  }

  std::unique_ptr<session::Reader> Open() {
    auto reader = session::Reader::Open(files_, "a.session");
    EXPECT_OK(reader);
    return std::move(*reader);
  }

  testing::MemoryFiles files_;
};

TEST_F(SeriesTest, ValuesAreThoseOfTheDecoderOverRandomVehicles) {
  std::size_t values = 0;
  for (unsigned seed = 1; seed <= 20 && !HasFailure(); ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    testing::RandomVehicle vehicle(seed);
    const auto definitions = Load(vehicle.Definitions());
    ASSERT_NE(definitions, nullptr);
    files_ = testing::MemoryFiles();
    const auto reader = Write(vehicle.Frames(1200));
    values += testing::ExpectSeriesEqualDecoder(*reader, definitions);
  }
  std::cout << "values compared: " << values << "\n";
  EXPECT_GT(values, 50'000U);
}

constexpr char kPump[] =
    "byte order: big\nframes: {f: {id: 0x120, every: 100 ms, signals: {"
    "speed: {where: byte 0, absent: 0xFF, range: 0..200, role: coolant pump speed},"
    "mode: {where: byte 1, states: {0: idle, 1: run}}}}}";

TEST_F(SeriesTest, TimeNumberValidityAndStates) {
  const auto definitions = Load(kPump);
  const auto reader =
      Write("at 0 s  pack 120  05 00\nat 100 ms  pack 120  FF 01\nat 200 ms  pack 120  F0 01\n");
  const auto all = ReadSeries(*reader, definitions, std::vector<std::uint32_t>{0, 1});
  ASSERT_OK(all);
  ASSERT_THAT(*all, SizeIs(2));
  const Series& speed = (*all)[0];
  EXPECT_THAT(speed.at, ElementsAre(milliseconds(0), milliseconds(100), milliseconds(200)));
  EXPECT_EQ(FormatWallTime(speed.times[1]), "2026-03-01T12:00:00.100Z");
  EXPECT_THAT(speed.validity, ElementsAre(decoders::Validity::kValid, decoders::Validity::kAbsent,
                                          decoders::Validity::kOutOfRange));
  EXPECT_EQ(speed.numbers[0], 5);
  EXPECT_TRUE(std::isnan(speed.numbers[1]));
  EXPECT_EQ(speed.numbers[2], 240);
  EXPECT_THAT(speed.raw, IsEmpty());
  EXPECT_THAT((*all)[1].raw, ElementsAre(0, 1, 1));
}

TEST_F(SeriesTest, ChosenByRoleAndOnlyWhatIsChosen) {
  const auto definitions = Load(kPump);
  const auto reader = Write("at 0 s  pack 120  05 00\n");
  const auto all =
      ReadSeries(*reader, definitions, definitions->SignalsWithRole("coolant pump speed"));
  ASSERT_OK(all);
  ASSERT_THAT(*all, SizeIs(1));
  EXPECT_EQ((*all)[0].signal, 0U);
}

TEST_F(SeriesTest, SignalsThatNeverCameHaveNoSeries) {
  const auto definitions = Load(kPump);
  const auto reader = Write("at 0 s  pack 121  05 00\nat 1 s  pack 120  05\n");
  const auto all = ReadSeries(*reader, definitions, std::vector<std::uint32_t>{0, 1});
  ASSERT_OK(all);
  ASSERT_THAT(*all, SizeIs(1)) << "the only frame is too short for the second signal";
}

TEST_F(SeriesTest, BackwardStepOfTheClockTakesNoTime) {
  const auto definitions = Load(kPump);
  // The step shows in 120 only, not in the rare 121.
  const auto reader = Write(
      "every 100 ms from 0 s to 20 s  pack 120  05 00\nat 19 s  pack 121  00\n"
      "step -6 s at 10 s\n");
  const auto all = ReadSeries(*reader, definitions, std::vector<std::uint32_t>{0});
  ASSERT_OK(all);
  ASSERT_THAT((*all)[0].at, SizeIs(200));
  EXPECT_TRUE(std::is_sorted((*all)[0].at.begin(), (*all)[0].at.end()));
  EXPECT_NEAR(ToSeconds((*all)[0].at.back()), 20, 0.21);
}

TEST_F(SeriesTest, RareStreamFollowsAStepThatOnlyABusyOneShows) {
  const auto definitions = Load("frames: {rare: {id: 0x121, signals: {r: {where: byte 0}}}}");
  const auto reader = Write(
      "every 100 ms from 0 s to 20 s  pack 120  05 00\nat 19 s  pack 121  00\n"
      "step -6 s at 10 s\n");
  const auto all = ReadSeries(*reader, definitions, std::vector<std::uint32_t>{0});
  ASSERT_OK(all);
  EXPECT_NEAR(ToSeconds((*all)[0].at.at(0)), 19, 0.11);
}

TEST_F(SeriesTest, DamageElsewhereTakesNothingAndIsNoError) {
  const auto definitions = Load(kPump);
  Write("every 100 ms from 0 s to 10 s  pack 120  05 00\n");
  std::vector<std::uint8_t>& bytes = files_.Contents("a.session");
  for (std::size_t at = 40; at < bytes.size(); at += 7) {
    const std::uint8_t before = bytes[at];
    bytes[at] ^= 0x10;
    auto reader = session::Reader::Open(files_, "a.session");
    if (reader.ok()) {
      const auto all = ReadSeries(**reader, definitions, std::vector<std::uint32_t>{0, 1});
      ASSERT_OK(all);
      for (const Series& one : *all) {
        EXPECT_LE(one.size(), 101U);
        EXPECT_EQ(one.numbers.size(), one.size());
      }
    }
    bytes[at] = before;
  }
}

TEST_F(SeriesTest, CostIsThatOfTheChosenStreams) {
  const auto definitions = Load(
      "frames: {f: {id: 1, signals: {a: {where: byte 0}, "
      "b: {where: byte 1, valid when: a > 1}}}}\ncomputed: {twice: {formula: a * 2}}");
  const auto reader = Write("at 0 s  pack 1  05 00\nat 1 s  pack 1  05\nat 2 s  pack 2  00\n");
  const auto cost = [&](std::vector<std::uint32_t> signals) {
    const SeriesCost one = CostOfSeries(*reader, *definitions, signals);
    return std::pair(one.frames, one.values);
  };
  EXPECT_EQ(cost({0}), std::pair(std::uint64_t{2}, std::uint64_t{2}));
  EXPECT_EQ(cost({0, 1}), std::pair(std::uint64_t{3}, std::uint64_t{4})) << "valid when";
  EXPECT_EQ(cost({2}), std::pair(std::uint64_t{3}, std::uint64_t{0})) << "computed";
  EXPECT_EQ(cost({}), std::pair(std::uint64_t{0}, std::uint64_t{0}));
}

}  // namespace
}  // namespace proofdrive::analysis
