#include "analysis/session/trip.h"

#include <gtest/gtest.h>

namespace proofdrive::analysis {
namespace {

using std::chrono::seconds;

constexpr std::uint32_t kSpeed = 0, kVoltage = 1, kCurrent = 2;

decoders::Definitions Car(const char* speed_unit, const char* positive) {
  decoders::Definitions car;
  car.signals.resize(3);
  car.signals[kSpeed].role = "vehicle speed";
  car.signals[kSpeed].unit = speed_unit;
  car.signals[kVoltage].role = "pack voltage";
  car.signals[kVoltage].unit = "V";
  car.signals[kCurrent].role = "pack current";
  car.signals[kCurrent].unit = "A";
  car.signals[kCurrent].positive = positive;
  return car;
}

decoders::Value Of(std::uint32_t signal, double number) {
  decoders::Value value;
  value.signal = signal;
  value.number = number;
  return value;
}

// One hour at 36 km/h and 400 V * 10 A is 36 km and 4 kWh.
TripFigures OneHour(const decoders::Definitions& car, double speed, double current) {
  TripMeter meter(car);
  for (int s = 0; s < 3600; ++s) {
    meter.Add(Of(kSpeed, speed), seconds(s));
    meter.Add(Of(kVoltage, 400), seconds(s));
    meter.Add(Of(kCurrent, current), seconds(s));
  }
  return meter.Finish(seconds(3600));
}

TEST(TripMeter, DistanceInEveryUnit) {
  EXPECT_NEAR(*OneHour(Car("km/h", "discharge"), 36, 0).distance_km, 36, 1e-9);
  EXPECT_NEAR(*OneHour(Car("m/s", "discharge"), 10, 0).distance_km, 36, 1e-9);
  EXPECT_NEAR(*OneHour(Car("mph", "discharge"), 10, 0).distance_km, 16.09344, 1e-9);
  EXPECT_FALSE(OneHour(Car("", "discharge"), 10, 0).distance_km);
}

TEST(TripMeter, EnergyGoesTheWayTheDefinitionSays) {
  const TripFigures out = OneHour(Car("km/h", "discharge"), 0, 10);
  EXPECT_NEAR(*out.energy_out_kwh, 4, 0.01);
  EXPECT_EQ(*out.energy_in_kwh, 0);
  const TripFigures in = OneHour(Car("km/h", "charge"), 0, 10);
  EXPECT_EQ(*in.energy_out_kwh, 0);
  EXPECT_NEAR(*in.energy_in_kwh, 4, 0.01);
  EXPECT_FALSE(OneHour(Car("km/h", ""), 0, 10).energy_out_kwh);
}

TEST(TripMeter, NeverReceivedIsNotZero) {
  TripMeter meter(Car("km/h", "discharge"));
  meter.Add(Of(kVoltage, 400), seconds(0));
  const TripFigures figures = meter.Finish(seconds(100));
  EXPECT_FALSE(figures.distance_km);
  EXPECT_TRUE(figures.speed_missing);
  EXPECT_FALSE(figures.energy_out_kwh);
  EXPECT_TRUE(figures.power_missing);
  EXPECT_FALSE(OneHour(Car("km/h", "discharge"), 36, 10).speed_missing);
  EXPECT_FALSE(OneHour(Car("km/h", "discharge"), 36, 10).power_missing);
}

TEST(TripMeter, SilenceIsNotCountedButTold) {
  TripMeter meter(Car("km/h", "discharge"));
  meter.Add(Of(kSpeed, 36), seconds(0));
  const TripFigures figures = meter.Finish(seconds(102));
  EXPECT_NEAR(*figures.distance_km, 0.02, 1e-9);
  EXPECT_EQ(figures.not_counted, Duration(seconds(100)));
  EXPECT_EQ(figures.moving, Duration(seconds(2)));
}

TEST(TripMeter, ValuesThatAreAbsentCountAsNothing) {
  TripMeter meter(Car("km/h", "discharge"));
  decoders::Value absent = Of(kSpeed, 36);
  absent.validity = decoders::Validity::kAbsent;
  meter.Add(absent, seconds(0));
  EXPECT_EQ(*meter.Finish(seconds(1)).distance_km, 0);
}

}  // namespace
}  // namespace proofdrive::analysis
