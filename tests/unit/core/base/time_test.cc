#include "core/base/time.h"

#include <gtest/gtest.h>

#include "tests/support/matchers.h"

namespace proofdrive {
namespace {

using ::proofdrive::testing::IsError;
using namespace std::chrono_literals;

TEST(DurationTest, ReadsTheUnitsOfTheDefinitionFiles) {
  EXPECT_EQ(ParseDuration("100 ms").value(), 100ms);
  EXPECT_EQ(ParseDuration("2 s").value(), 2s);
  EXPECT_EQ(ParseDuration("10min").value(), 10min);
  EXPECT_EQ(ParseDuration("1.5 h").value(), 90min);
  EXPECT_EQ(ParseDuration(" 250us ").value(), 250us);
  EXPECT_EQ(ParseDuration("0").value(), 0s);
}

TEST(DurationTest, ReadsWhatIsShown) {
  EXPECT_EQ(ParseDuration("4min8s").value(), 248s);
  for (const Duration one : {Duration(250ms), Duration(92s), Duration(185s), Duration(180s),
                             Duration(62min), Duration(1h)}) {
    EXPECT_EQ(ParseDuration(FormatDuration(one)).value(), one) << FormatDuration(one);
  }
}

TEST(DurationTest, ANumberAloneMayBeMinutes) {
  EXPECT_THAT(ParseDuration("10"), IsError(ErrorKind::kInvalidArgument,
                                           "\"10\" has no unit: write \"10 s\" or \"10 min\""));
}

TEST(DurationTest, RefusesEverythingElse) {
  for (const char* text :
       {"", "ms", "2 weeks", "-1 s", "5 s 4 min", "4 min 8", "1e3 s", "1..2 s", "99999999999 h"}) {
    EXPECT_THAT(ParseDuration(text), IsError(ErrorKind::kInvalidArgument,
                                             "\"" + std::string(text) +
                                                 "\" is not a duration: write for example "
                                                 "\"100 ms\", \"2 s\", \"10min\" or \"1.5 h\""));
  }
}

TEST(DurationTest, IsShownWithTheUnitAPersonWouldUse) {
  EXPECT_EQ(FormatDuration(250ms), "0.25 s");
  EXPECT_EQ(FormatDuration(5s), "5 s");
  EXPECT_EQ(FormatDuration(12500ms), "12.5 s");
  EXPECT_EQ(FormatDuration(90s), "90 s");
  EXPECT_EQ(FormatDuration(185s), "3 min 05 s");
  EXPECT_EQ(FormatDuration(-185s), "-3 min 05 s");
  EXPECT_EQ(FormatDuration(62min), "1 h 02 min");
  EXPECT_EQ(FormatDuration(1h), "1 h");
  EXPECT_EQ(FormatDuration(3599900ms), "1 h");
}

TEST(DurationTest, OneLengthIsToldInOneWay) {
  EXPECT_EQ(FormatDuration(179990ms), "3 min");
  EXPECT_EQ(SpokenDuration(179990ms), "3 min");
  EXPECT_EQ(FormatDuration(119990ms), "120 s");
  EXPECT_EQ(SpokenDuration(119990ms), "120 s");
}

// 59.96 s of 60 s are not 60 s.
TEST(DurationTest, WhatFellShortIsNotRoundedUp) {
  EXPECT_EQ(SpokenShort(59960ms, 60s), "just under 60 s");
  EXPECT_EQ(SpokenShort(12s, 60s), "12 s");
  EXPECT_EQ(SpokenShort(60s, 60s), "60 s");
}

TEST(DurationTest, IsSpokenAsPreciselyAsASentenceNeedsIt) {
  EXPECT_EQ(SpokenDuration(0ms), "0 s");
  EXPECT_EQ(SpokenDuration(4ms), "0.004 s");
  EXPECT_EQ(SpokenDuration(182ms), "0.18 s");
  EXPECT_EQ(SpokenDuration(2540ms), "2.5 s");
  EXPECT_EQ(SpokenDuration(12400ms), "12 s");
  EXPECT_EQ(SpokenDuration(91990ms), "92 s");
  EXPECT_EQ(SpokenDuration(185s), "3 min 05 s");
}

TEST(WallTimeTest, IsShownInUtc) {
  const WallTime time = WallFromNanoseconds(1'700'000'000'123'456'789);
  EXPECT_EQ(FormatWallTime(time), "2023-11-14T22:13:20.123Z");
  EXPECT_EQ(FormatWallTime(time, 9), "2023-11-14T22:13:20.123456789Z");
  EXPECT_EQ(FormatWallTime(time, 0), "2023-11-14T22:13:20Z");
  EXPECT_EQ(FormatEpochSeconds(time), "1700000000.123456");
}

TEST(WallTimeTest, BeforeNineteenSeventy) {
  EXPECT_EQ(FormatEpochSeconds(WallFromNanoseconds(-1'500'000'000)), "-1.500000");
  EXPECT_EQ(FormatWallTime(WallFromNanoseconds(-1'000'000'000), 0), "1969-12-31T23:59:59Z");
}

TEST(WallTimeTest, ReadsBackWhatItWrites) {
  const WallTime time = WallFromNanoseconds(1'700'000'000'125'000'000);
  EXPECT_EQ(ParseWallTime("2023-11-14T22:13:20.125Z").value(), time);
  EXPECT_EQ(ParseWallTime("1700000000.125").value(), time);
  EXPECT_EQ(ParseWallTime("2023-11-14T22:13:20Z").value(), time - 125ms);
}

TEST(WallTimeTest, RefusesWhatIsNoTime) {
  for (const char* text :
       {"", "yesterday", "2023-11-14T22:13", "12.x", "2023-11-14T22:13:20 CET"}) {
    EXPECT_FALSE(ParseWallTime(text).ok()) << text;
  }
}

}  // namespace
}  // namespace proofdrive
