// Invented numbers: 400 V behind 0.1 ohm.
#include "analysis/checking/voltage_jumps.h"

#include <gmock/gmock.h>

namespace proofdrive::analysis {
namespace {

using ::testing::ElementsAre;
using ::testing::IsEmpty;

constexpr double kOhm = 0.1, kFloor = 40;

Track Amps(double period, double (*at)(double)) {
  Track track;
  for (double t = 0; t < 60; t += period) track.Add(t, at(t));
  return track;
}

// A load of 500 A for one reading at 20 s; at 40 s a reading that no load explains.
double Load(double t) { return t > 19.95 && t < 20.05 ? 500 : t > 5 && t < 6 ? 600 : 20; }
Track Volts() {
  Track track;
  for (int i = 0; i < 600; ++i) {
    const double t = 0.1 * i;
    track.Add(t, i == 400 ? 280 : 400 - kOhm * Load(t));
  }
  return track;
}

TEST(UnexplainedJumps, OnlyWhereTheCurrentStays) {
  EXPECT_THAT(UnexplainedJumps(Volts(), Amps(0.1, Load), kOhm, kFloor), ElementsAre(400));
}

TEST(UnexplainedJumps, NoneWhereTheCurrentCouldHaveMovedUnseen) {
  EXPECT_THAT(UnexplainedJumps(Volts(), Amps(5, Load), kOhm, kFloor), IsEmpty());
  EXPECT_THAT(UnexplainedJumps(Volts(), {}, kOhm, kFloor), IsEmpty());
}

TEST(UnexplainedJumps, NoneWhereTheCurrentIsAtItsEnd) {
  const auto clipped = [](double t) { return t > 38 ? 100.0 : 20.0; };
  EXPECT_THAT(UnexplainedJumps(Volts(), Amps(0.1, clipped), kOhm, kFloor), ElementsAre(200));
}

}  // namespace
}  // namespace proofdrive::analysis
