// The generator itself: are its cars what docs/fleet.md says?
#include <gmock/gmock.h>

#include <cmath>
#include <map>
#include <set>

#include "tests/fleet/car/draw_car.h"

namespace proofdrive::fleet {
namespace {

using ::testing::AllOf;
using ::testing::Ge;
using ::testing::Le;

constexpr std::uint64_t kCars = 2000;

class Cars : public ::testing::Test {
 protected:
  static const std::vector<Car>& All() {
    static const std::vector<Car> cars = [] {
      std::vector<Car> all;
      for (std::uint64_t seed = 1; seed <= kCars; ++seed) all.push_back(DrawCar(seed));
      return all;
    }();
    return cars;
  }

  // All cars lie within, and some come near both ends: 5 % of the span, by the logarithm if asked.
  static void ExpectReached(double low, double high, bool by_logarithm, double (*value)(const Car&),
                            const char* what) {
    const auto scale = [&](double number) { return by_logarithm ? std::log(number) : number; };
    const double near = 0.05 * (scale(high) - scale(low));
    double least = 1e300;
    double most = -1e300;
    for (const Car& car : All()) {
      least = std::min(least, value(car));
      most = std::max(most, value(car));
    }
    EXPECT_GE(least, low * (1 - 1e-9) - 1e-9) << what;
    EXPECT_LE(most, high * (1 + 1e-9)) << what;
    EXPECT_LE(scale(least), scale(low) + near) << what;
    EXPECT_GE(scale(most), scale(high) - near) << what;
  }
};

TEST_F(Cars, ReachTheirRanges) {
  ExpectReached(
      60, 216, false, [](const Car& car) { return double(car.pack.cells); }, "cells");
  ExpectReached(
      1, 4, false, [](const Car& car) { return double(car.pack.strings); }, "strings");
  ExpectReached(
      20, 250, true, [](const Car& car) { return car.pack.capacity_ah; }, "capacity");
  ExpectReached(
      100 / 0.8, 850, false, [](const Car& car) { return car.pack.highest_v(); }, "voltage");
  ExpectReached(
      0.90, 0.995, false, [](const Car& car) { return car.high_voltage.closing_share; },
      "pre-charge");
  ExpectReached(
      0.5, 300, true, [](const Car& car) { return car.high_voltage.discharge_s; }, "discharge");
  ExpectReached(
      200, 50000, true, [](const Car& car) { return car.insulation.kohm; }, "insulation");
  ExpectReached(
      -25, 50, false, [](const Car& car) { return car.use.ambient_c; }, "temperature");
  ExpectReached(
      0.01, 1, true,
      [](const Car& car) {
        const auto link = car.sensors.values.find("link voltage");
        return link == car.sensors.values.end() ? 0.1 : link->second.period_s;
      },
      "period of the link voltage");
}

TEST_F(Cars, EveryPeriodLiesBetween10MillisecondsAnd10Seconds) {
  for (const Car& car : All()) {
    for (const auto& [role, sensor] : car.sensors.values) {
      EXPECT_THAT(sensor.period_s, AllOf(Ge(0.01), Le(10.0))) << role;
      EXPECT_THAT(sensor.parked_period_s, AllOf(Ge(sensor.period_s), Le(10.0))) << role;
    }
  }
}

TEST_F(Cars, HaveEveryChemistryMonitorAndPumpLaw) {
  std::map<CellKind, int> kinds;
  std::map<MonitorKind, int> monitors;
  std::map<PumpLaw, int> laws;
  for (const Car& car : All()) {
    ++kinds[car.pack.kind];
    ++monitors[car.insulation.monitor];
    ++laws[car.loop.law];
  }
  EXPECT_EQ(kinds.size(), AllCellKinds().size());
  EXPECT_EQ(monitors.size(), 4u);
  EXPECT_EQ(laws.size(), 4u);
}

// Healthy is said in numbers, so that nobody draws a fault by accident.
TEST_F(Cars, AreHealthy) {
  for (const Car& car : All()) {
    const auto [low, high] =
        std::minmax_element(car.pack.charge_offset.begin(), car.pack.charge_offset.end());
    EXPECT_LE((*high - *low) * 100 * 9, 28.0 + 1e-9) << car.seed;  // mV at 9 mV per %
    EXPECT_GE(1000 * car.insulation.kohm / car.pack.highest_v(), 700 - 1e-6) << car.seed;
    EXPECT_GE(car.pack.health, 0.86) << car.seed;
    const Defects none;
    EXPECT_EQ(car.defects.leak_kohm, none.leak_kohm);
  }
}

TEST_F(Cars, AreTheSameForTheSameSeed) {
  for (std::uint64_t seed = 1; seed <= 20; ++seed) {
    const Car again = DrawCar(seed);
    const Car& car = All()[seed - 1];
    EXPECT_EQ(again.pack.charge_offset, car.pack.charge_offset);
    EXPECT_EQ(again.sensors.values.size(), car.sensors.values.size());
    EXPECT_EQ(again.use.stages.size(), car.use.stages.size());
  }
  EXPECT_NE(All()[0].pack.capacity_ah, All()[1].pack.capacity_ah);
}

}  // namespace
}  // namespace proofdrive::fleet
