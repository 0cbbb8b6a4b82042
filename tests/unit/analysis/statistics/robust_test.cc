#include "analysis/statistics/robust.h"

#include <gmock/gmock.h>

#include <cmath>

#include "analysis/statistics/summaries.h"
#include "analysis/statistics/trend.h"

namespace proofdrive::analysis {
namespace {

// Twelve cells at rest, worked by hand: classical z cannot exceed (n-1)/sqrt(n) = 3.175.
TEST(Robust, OneWeakCellOfTwelve) {
  const std::vector<double> cells = {3.7461, 3.7459, 3.7463, 3.7460, 3.7458, 3.7462,
                                     3.7231, 3.7460, 3.7464, 3.7457, 3.7461, 3.7459};
  EXPECT_NEAR(Median(cells), 3.74600, 5e-6);
  EXPECT_NEAR(MedianDeviation(cells), 0.00015, 5e-7);
  EXPECT_NEAR(ModifiedZ(cells)[6], -102.97, 0.01);
  EXPECT_NEAR((cells[6] - Mean(cells)) / StandardDeviation(cells), -3.17, 5e-3);
  EXPECT_NEAR(11 / std::sqrt(12.0), 3.175, 5e-4);
  EXPECT_NEAR(1000 * (Quantile(cells, 1) - Quantile(cells, 0)), 23.3, 5e-3);
}

// Instantaneous resistance of the eleven 58 Ah cells of a published data set, mohm (looked up).
TEST(Robust, OutlierAmongPublishedCells) {
  const std::vector<double> ohm = {1.189, 1.155, 1.065, 1.157, 1.165, 1.123,
                                   1.086, 1.100, 1.359, 1.062, 1.154};
  EXPECT_NEAR(Median(ohm), 1.154, 5e-7);
  EXPECT_NEAR(MedianDeviation(ohm), 0.035, 5e-7);
  EXPECT_NEAR(ModifiedZ(ohm)[8], 3.95, 5e-3);
  EXPECT_NEAR((ohm[8] - Mean(ohm)) / StandardDeviation(ohm), 2.58, 5e-3);
  EXPECT_NEAR(100 * Variation(ohm), 7.17, 5e-3);
}

TEST(Robust, HotSpotAmongTwelveSensors) {
  const std::vector<double> celsius = {27.1, 27.3, 27.2, 27.4, 27.0, 27.3,
                                       33.9, 28.6, 27.2, 27.1, 27.3, 27.4};
  EXPECT_NEAR(Median(celsius), 27.3, 1e-9);
  EXPECT_NEAR(MedianDeviation(celsius), 0.1, 1e-9);
  EXPECT_NEAR(ModifiedZ(celsius)[6], 44.5, 0.05);
  EXPECT_NEAR(ModifiedZ(celsius)[7], 8.8, 0.05);
  EXPECT_NEAR(celsius[6] - Median(celsius), 6.6, 1e-9);
  EXPECT_NEAR(celsius[7] - Median(celsius), 1.3, 1e-9);
  EXPECT_NEAR(Quantile(celsius, 1) - Quantile(celsius, 0), 6.9, 1e-9);
}

// Eight current steps, the last pair bad: least squares is 10 % off, the robust one is not.
TEST(Robust, SlopesWithOneBadPair) {
  const std::vector<double> amps = {-40, -75, -110, -150, 60, 35, -90, -120};
  const std::vector<double> volts = {-4.40, -8.41, -12.27, -16.80, 6.69, 3.98, -10.02, -19.90};
  std::vector<double> ratios;
  for (std::size_t i = 0; i < amps.size(); ++i) ratios.push_back(1000 * volts[i] / amps[i]);
  const double expected[] = {110.0, 112.13, 111.55, 112.0, 111.5, 113.71, 111.33, 165.83};
  for (std::size_t i = 0; i < ratios.size(); ++i) EXPECT_NEAR(ratios[i], expected[i], 5.1e-3) << i;
  EXPECT_NEAR(Median(ratios), 111.77, 5e-3);
  EXPECT_NEAR(MedianDeviation(ratios), 0.40, 5e-3);
  EXPECT_NEAR(1000 * TheilSen(amps, volts).slope, 112.36, 5e-3);
  EXPECT_NEAR(1000 * LeastSquares(amps, volts).slope, 121.69, 5e-3);
  EXPECT_NEAR(1000 * LeastSquaresThroughOrigin(amps, volts), 123.02, 5e-3);
  const std::span<const double> a(amps), v(volts);
  EXPECT_NEAR(1000 * LeastSquaresThroughOrigin(a.first(7), v.first(7)), 111.76, 5e-3);
}

TEST(Robust, LowQuantileShowsTheIntermittentDrop) {
  const std::vector<double> kohm = {512, 498, 530, 505, 471, 520, 488, 515, 140, 502};
  EXPECT_NEAR(Median(kohm), 503.5, 1e-9);
  EXPECT_LT(Quantile(kohm, 0.10), 471);
  EXPECT_NEAR(Quantile(kohm, 0), 140, 1e-9);
}

// Pump current at constant command, bled and with air.
TEST(Robust, FluctuationOfThePump) {
  const std::vector<double> bled = {8.8, 8.9, 8.8, 8.7, 8.9, 8.8, 8.8, 8.9};
  const std::vector<double> air = {8.6, 5.1, 3.9, 7.8, 8.5, 4.4, 8.7, 6.0};
  EXPECT_NEAR(100 * Variation(bled), 0.80, 6e-3);
  EXPECT_NEAR(100 * Variation(air), 30.3, 0.05);
  EXPECT_NEAR(100 * RobustSpread(air, Median(air)) / Median(air), 37.6, 0.05);
}

TEST(Robust, EmptyAndFlat) {
  EXPECT_EQ(Quantile({}, 0.5), 0);
  EXPECT_THAT(ModifiedZ(std::vector<double>{1, 1, 1, 2}), ::testing::Each(0.0));
  EXPECT_EQ(Correlation(std::vector<double>{1, 1}, std::vector<double>{1, 2}), 0);
}

}  // namespace
}  // namespace proofdrive::analysis
