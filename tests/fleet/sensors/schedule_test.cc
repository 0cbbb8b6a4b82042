#include <gmock/gmock.h>

#include <cmath>

#include "tests/fleet/car/draw_car.h"
#include "tests/fleet/random.h"
#include "tests/fleet/sensors/sent.h"

namespace proofdrive::fleet {
namespace {

TEST(Measured, RoundsToStepsFromTheLowEnd) {
  Sensor sensor;
  sensor.low = -40;
  sensor.high = 210;
  sensor.step = 0.5;
  Random random(1);
  EXPECT_DOUBLE_EQ(Measured(sensor, 21.3, random), 21.5);
  EXPECT_DOUBLE_EQ(Measured(sensor, -60, random), -40);  // clipped
  EXPECT_DOUBLE_EQ(Measured(sensor, 400, random), 210);
}

TEST(Measured, IsGivenBackInTheUnitOfTheRole) {
  Sensor sensor;  // sent in mV
  sensor.factor = 1e-3;
  sensor.low = 0;
  sensor.high = 5000;
  sensor.step = 1;
  Random random(1);
  EXPECT_NEAR(Measured(sensor, 3.70149, random), 3.701, 1e-12);
}

TEST(Measured, HasItsGainAndNoise) {
  Sensor sensor;
  sensor.high = 1000;
  sensor.step = 0.001;
  sensor.gain = 1.01;
  sensor.noise = 2;
  Random random(1);
  double sum = 0, squares = 0;
  constexpr int kCount = 20000;
  for (int i = 0; i < kCount; ++i) {
    const double off = Measured(sensor, 400, random) - 404;
    sum += off;
    squares += off * off;
  }
  EXPECT_NEAR(sum / kCount, 0, 0.06);
  EXPECT_NEAR(std::sqrt(squares / kCount), 2, 0.06);
}

// Ten minutes of driving, then two hours of rest.
Life Script() {
  Life life;
  life.phases = {{StageKind::kDrive, 0, 600}, {StageKind::kRest, 600, 7800}};
  life.length_s = 7800;
  return life;
}

std::size_t CountIn(const std::vector<double>& times, double from, double to) {
  return static_cast<std::size_t>(
      std::count_if(times.begin(), times.end(), [=](double t) { return t >= from && t < to; }));
}

TEST(Schedule, IsSlowerWhenParked) {
  Sensor sensor;
  sensor.period_s = 0.1;
  sensor.parked_period_s = 5;
  Use use;
  use.parked = ParkedNetwork::kSlow;
  Random random(3);
  const auto times = Schedule(Script(), use, sensor, random);
  EXPECT_NEAR(static_cast<double>(CountIn(times, 0, 600)), 6000, 30);
  EXPECT_NEAR(static_cast<double>(CountIn(times, 700, 7700)), 1400, 15);
}

TEST(Schedule, SleepsAndWakes) {
  Sensor sensor;
  sensor.period_s = 1;
  Use use;
  use.parked = ParkedNetwork::kSleeps;
  use.wake_every_s = 600;
  use.wake_for_s = 20;
  Random random(3);
  const auto times = Schedule(Script(), use, sensor, random);
  EXPECT_EQ(CountIn(times, 665, 1195), 0u);
  EXPECT_NEAR(static_cast<double>(CountIn(times, 1195, 1225)), 20, 2);
}

TEST(Schedule, LosesTheShareItSays) {
  Sensor sensor;
  sensor.period_s = 0.05;
  sensor.loss = 0.1;
  Random random(3);
  const auto times = Schedule(Script(), Use(), sensor, random);
  EXPECT_NEAR(static_cast<double>(CountIn(times, 0, 600)), 10800, 200);
}

TEST(Send, IsTheSameForTheSameSeed) {
  const Car car = DrawCar(11);
  const Life life = Live(car);
  const Sent one = Send(car, life);
  const Sent two = Send(car, life);
  ASSERT_EQ(one.signals.size(), two.signals.size());
  for (std::size_t i = 0; i < one.signals.size(); ++i) {
    EXPECT_EQ(one.signals[i].elements.front().value, two.signals[i].elements.front().value);
  }
}

}  // namespace
}  // namespace proofdrive::fleet
