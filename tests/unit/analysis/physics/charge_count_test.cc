#include "analysis/physics/charge_count.h"

#include <gtest/gtest.h>

#include <vector>

namespace proofdrive::analysis {
namespace {

TEST(ChargeCount, CapacityWithItsUncertainty) {
  const CountErrors errors{.charge = 0.01, .gain = 0.005, .offset_a = 0.1};
  const Capacity capacity = CapacityBetween(76.4, 0.820, 0.315, 5, errors);
  EXPECT_NEAR(capacity.ah, 151.29, 5e-3);
  EXPECT_NEAR(capacity.uncertainty_ah / capacity.ah, 0.0292, 5e-5);
  EXPECT_NEAR(capacity.uncertainty_ah, 4.4, 0.05);
  EXPECT_NEAR(1.96 * capacity.uncertainty_ah, 8.7, 0.05);
  // Of the counted charge alone.
  const CountErrors current_only{.charge = 0, .gain = 0.005, .offset_a = 0.1};
  const Capacity counted = CapacityBetween(76.4, 0.820, 0.315, 5, current_only);
  EXPECT_NEAR(counted.uncertainty_ah / counted.ah * 76.4, 0.629, 5e-4);
  const CountErrors charge_only{.charge = 0.01, .gain = 0.005, .offset_a = 0};
  const double expected[][2] = {{0.10, 14.2}, {0.20, 7.1}, {0.30, 4.7}, {0.50, 2.9}, {0.80, 1.8}};
  for (const auto& [swing, percent] : expected) {
    const Capacity one = CapacityBetween(150 * swing, 0.9, 0.9 - swing, 1, charge_only);
    EXPECT_NEAR(100 * one.uncertainty_ah / one.ah, percent, 0.06) << swing;
  }
  EXPECT_EQ(CapacityBetween(10, 0.5, 0.5, 1, errors).ah, 0);
  const CountErrors silent{.charge = 0, .gain = 0, .offset_a = 0, .ah = 2};
  EXPECT_NEAR(CapacityBetween(50, 0.9, 0.4, 1, silent).uncertainty_ah, 4, 1e-9);
}

TEST(ChargeCount, Integration) {
  const std::vector<double> t = {0, 1, 2.5, 4, 6};
  const std::vector<double> amps = {0, 10, 20, 20, 5};
  EXPECT_NEAR(Trapezoid(t, amps), 82.5, 1e-9);
  EXPECT_NEAR(Trapezoid(t, amps) / 3600, 0.0229167, 5e-8);
}

TEST(ChargeCount, EfficiencyBetweenEqualCharges) {
  const Efficiency efficiency = EfficiencyOf(81.6, 81.2, 31'200, 29'640);
  EXPECT_NEAR(efficiency.charge, 0.99510, 5e-6);
  EXPECT_NEAR(efficiency.energy, 0.95000, 5e-6);
  EXPECT_NEAR(efficiency.voltage, 0.95468, 5e-6);
  EXPECT_EQ(EfficiencyOf(0, 81.2, 0, 29'640).charge, 0);
}

TEST(ChargeCount, FiveHourlySamples) {
  const std::vector<double> t = {0, 3600, 7200, 10800, 14400};
  const std::vector<double> volt = {395, 390, 385, 380, 375};
  std::vector<double> watt;
  for (const double v : volt) watt.push_back(-50 * v);
  EXPECT_NEAR(Trapezoid(t, watt) / 3.6e6, -77.0, 1e-9);
  EXPECT_NEAR(Trapezoid(t, std::vector<double>(5, -50.0)) / 3600, -200, 1e-9);
}

}  // namespace
}  // namespace proofdrive::analysis
