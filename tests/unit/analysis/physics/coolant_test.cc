#include "analysis/physics/coolant.h"

#include <gtest/gtest.h>

#include <cmath>

#include "analysis/statistics/summaries.h"

namespace proofdrive::analysis {
namespace {

// Handbook values of 50/50 glycol by volume through a published coefficient set (looked up).
TEST(Coolant, PropertiesByTemperature) {
  const struct {
    double celsius, density, heat_capacity, viscosity;
    double per_litre;  // kJ/(L K)
  } kRows[] = {{-20, 1086.9, 3126, 22.9, 3.398}, {-10, 1084.2, 3165, 13.3, 3.431},
               {0, 1081.1, 3203, 8.28, 3.463},   {10, 1077.5, 3242, 5.51, 3.493},
               {20, 1073.3, 3281, 3.88, 3.521},  {25, 1071.1, 3300, 3.32, 3.535},
               {30, 1068.7, 3319, 2.87, 3.547},  {40, 1063.7, 3358, 2.21, 3.572},
               {50, 1058.1, 3396, 1.76, 3.594},  {60, 1052.0, 3435, 1.44, 3.614}};
  for (const auto& row : kRows) {
    SCOPED_TRACE(row.celsius);
    const Coolant coolant = CoolantAt(row.celsius);
    EXPECT_NEAR(coolant.density, row.density, 1e-9);
    EXPECT_NEAR(coolant.heat_capacity, row.heat_capacity, 1e-9);
    EXPECT_NEAR(coolant.viscosity, row.viscosity, 1e-9);
    // 60 L/min are a litre per second. The table multiplied before it rounded: at 50 degC the
    // rounded factors make 3.5933.
    EXPECT_NEAR(HeatPerKelvin(60, row.celsius) / 1000, row.per_litre, 7.5e-4);
  }
  EXPECT_NEAR(CoolantAt(-20).viscosity / CoolantAt(20).viscosity, 6, 0.1);
  EXPECT_NEAR(CoolantAt(100).density, 1052.0, 1e-9);
  EXPECT_NEAR(CoolantAt(-50).density, 1086.9, 1e-9);
  EXPECT_NEAR(CoolantAt(22.5).density, 1072.2, 0.01);
}

// 6 L between the sensors at 10 and at 3 L/min.
TEST(Coolant, FlowFromTheDelay) {
  EXPECT_NEAR(DelayFlow(6, 36), 10, 1e-9);
  EXPECT_NEAR(DelayFlow(6, 120), 3, 1e-9);
  EXPECT_EQ(DelayFlow(6, 0), 0);
}

// 8 L that warm up rise in the tank by this much without any leak.
TEST(Coolant, ThermalExpansion) {
  const auto grown = [](double from_c, double to_c) {
    return 8 * (CoolantAt(from_c).density / CoolantAt(to_c).density - 1);
  };
  EXPECT_NEAR(grown(10, 50), 0.147, 5e-4);
  EXPECT_NEAR(grown(-10, 40), 0.154, 5e-4);
}

TEST(Coolant, HeatCarried) {
  EXPECT_NEAR(10 / 60e3 * CoolantAt(25).density, 0.17852, 5e-6);
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
  // 420 kJ/K that warm by 0.10 K/min take up 700 W: the balance closes to 8 W.
  const double left_w = 2475 - 3.0 * HeatPerKelvin(10, 25) - 420e3 * 0.10 / 60;
  EXPECT_NEAR(left_w, 8, 0.5);
  EXPECT_NEAR(100 * left_w / 2475, 0.3, 0.05);
}

// Power at 3000 and 4500 rpm by the affinity laws (looked up).
TEST(Coolant, PumpAtAnotherSpeed) {
  const double index = PumpIndex(30, 3000);
  const double watt = index / PumpIndex(1, 4500);
  EXPECT_NEAR(watt / 30, 3.375, 1e-9);
  EXPECT_NEAR(watt, 101.25, 1e-9);
  EXPECT_NEAR(watt / 13.5, 7.50, 5e-3);
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
  EXPECT_NEAR(law.PowerAt(5000) / 13.6, 8.80, 5e-3);
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
