#include "analysis/physics/coolant.h"

#include <gtest/gtest.h>

#include <cmath>

#include "analysis/statistics.h"

namespace proofdrive::analysis {
namespace {

// Handbook values of 50/50 glycol by volume through a published coefficient set.
TEST(Coolant, PropertiesByTemperature) {
  EXPECT_NEAR(CoolantAt(20).density, 1073.3, 1e-9);
  EXPECT_NEAR(CoolantAt(25).heat_capacity, 3300, 1e-9);
  EXPECT_NEAR(CoolantAt(-20).viscosity / CoolantAt(20).viscosity, 6, 0.1);
  EXPECT_NEAR(CoolantAt(100).density, 1052.0, 1e-9);
  EXPECT_NEAR(CoolantAt(-50).density, 1086.9, 1e-9);
  EXPECT_NEAR(CoolantAt(22.5).density, 1072.2, 0.01);
}

TEST(Coolant, HeatCarried) {
  EXPECT_NEAR(HeatPerKelvin(10, 25) / 1000, 0.5891, 5e-5);
  EXPECT_NEAR(HeatPerKelvin(2, 25) / 1000, 0.118, 5e-4);
  EXPECT_NEAR(HeatPerKelvin(6, 25) / 1000, 0.353, 5e-4);
  EXPECT_NEAR(HeatPerKelvin(8, 25) / 1000, 0.471, 5e-4);
  EXPECT_NEAR(HeatPerKelvin(15, 25) / 1000, 0.884, 5e-4);
  EXPECT_NEAR(3.0 * HeatPerKelvin(10, 25), 1767, 0.5);
  EXPECT_NEAR(ImpliedFlow(1767, 7.5, 25), 4.00, 5e-3);
  EXPECT_EQ(ImpliedFlow(1767, 0, 25), 0);
  EXPECT_NEAR(60 * 60 * 0.110, 396, 1e-9);
  EXPECT_NEAR(60 * 60 * 0.110 / HeatPerKelvin(10, 25), 0.67, 5e-3);
  EXPECT_NEAR(150 * 150 * 0.110 / HeatPerKelvin(10, 25), 4.20, 5e-3);
}

TEST(Coolant, PumpAgainstItsBaseline) {
  const std::vector<double> rpm = {2000, 3000, 4000, 5000};
  const std::vector<double> amps = {0.62, 1.98, 4.60, 8.85};
  std::vector<double> watt;
  std::vector<double> index;
  for (std::size_t i = 0; i < rpm.size(); ++i) {
    watt.push_back(13.6 * amps[i]);
    index.push_back(PumpIndex(watt[i], rpm[i]));
  }
  EXPECT_NEAR(index[0], 1.0540, 5e-5);
  EXPECT_NEAR(index[1], 0.9973, 5e-5);
  EXPECT_NEAR(index[2], 0.9775, 5e-5);
  EXPECT_NEAR(index[3], 0.9629, 5e-5);
  EXPECT_NEAR(Median(index), 0.9874, 5e-5);
  const PumpLaw law = FitPumpLaw(rpm, watt);
  EXPECT_NEAR(law.exponent, 2.9017, 5e-5);
  EXPECT_NEAR(law.offset, -19.92932, 5e-6);
  EXPECT_NEAR(law.PowerAt(5000), 119.71, 5e-3);
  EXPECT_NEAR(13.6 * 2.9 / law.PowerAt(5000), 0.33, 5e-3);
}

TEST(Coolant, OutletFollowsTheInlet) {
  std::vector<double> inlet = {20, 20, 20, 20, 22, 25, 27, 28, 28.5, 28.8};
  inlet.resize(20, 29);
  std::vector<double> outlet(8, 20);
  for (const double c : {20.5, 21.5, 23.2, 24.6, 25.5, 26.0, 26.2, 26.3, 26.3, 26.3, 26.3, 26.3}) {
    outlet.push_back(c);
  }
  const double expected[] = {-0.246, -0.163, 0.014, 0.344,  0.735,
                             0.954,  0.798,  0.301, -0.144, -0.411};
  const auto correlations = DelayCorrelations(inlet, outlet, 9);
  ASSERT_EQ(correlations.size(), 10U);
  for (std::size_t lag = 0; lag < 10; ++lag) {
    EXPECT_NEAR(correlations[lag], expected[lag], 5.1e-4) << lag;
  }
  EXPECT_EQ(BestDelay(inlet, outlet, 9).samples, 5);
}

TEST(Coolant, TimeConstantOfCoolingDown) {
  const std::vector<double> t = {0, 120, 240, 360, 480, 600, 900, 1200};
  const std::vector<double> c = {38.0, 35.2, 33.0, 31.2, 29.75, 28.6, 26.65, 25.5};
  EXPECT_NEAR(CoolingTimeConstant(t, c, 24.0, false), 538.8, 0.05);
  EXPECT_NEAR(CoolingTimeConstant(t, c, 24.0, true), 538.0, 0.05);
  EXPECT_EQ(CoolingTimeConstant({}, {}, 24, true), 0);
}

}  // namespace
}  // namespace proofdrive::analysis
