#include "analysis/physics/resistance.h"

#include <gtest/gtest.h>

#include <cmath>
#include <span>
#include <vector>

#include "analysis/physics/cell_curve.h"
#include "analysis/physics/charge_count.h"

namespace proofdrive::analysis {
namespace {

// Pulse method of the USABC manuals (points of a pulse from memory); worked step of 96 cells.
TEST(Resistance, OneStepAtSeveralTimes) {
  EXPECT_NEAR(StepResistance(389.6, -2, 372.8, -152), 0.1120, 5e-5);
  EXPECT_NEAR(1000 * StepResistance(389.6, -2, 372.8, -152) / 96, 1.1667, 5e-5);
  EXPECT_NEAR(StepResistance(389.6, -2, 375.8, -152), 0.0920, 5e-5);
  EXPECT_NEAR(StepResistance(389.6, -2, 374.6, -152), 0.1000, 5e-5);
  EXPECT_EQ(StepResistance(389.6, -2, 372.8, -2), 0);
  // What the pulse of 10 s takes out of 150 Ah moves the rested voltage, too.
  const std::vector<double> t = {0, 10};
  const std::vector<double> amps = {150, 150};
  const double percent = 100 * Trapezoid(t, amps) / 3600 / 150;
  EXPECT_NEAR(percent, 0.278, 5e-4);
  const double moved_v = 96 * percent * NmcSlope(0.5) / 1000;
  EXPECT_NEAR(moved_v, 0.253, 5e-4);
  EXPECT_NEAR(100 * moved_v / (389.6 - 372.8), 1.5, 0.05);
}

constexpr double kGas = 8.314462618e-3;  // kJ/(mol K)

// Means of a published data set of 58 Ah cells at 10, 25 and 40 degC, mohm (looked up).
TEST(Resistance, Temperature) {
  const std::vector<double> celsius = {10, 25, 40};
  const std::vector<double> ohm = {1.958, 1.147, 0.835};
  const double b = ArrheniusB(celsius, ohm);
  EXPECT_NEAR(b, 2527.55, 5e-3);
  EXPECT_NEAR(b * kGas, 21.0, 0.05);
  EXPECT_NEAR(ArrheniusFactor(b, 15, 25), 1.34, 5e-3);
  // The line at 25 degC: one exponent is good to about 6 % only.
  double log_sum = 0;
  for (std::size_t i = 0; i < 3; ++i) {
    log_sum += std::log(ohm[i] / ArrheniusFactor(b, celsius[i], 25));
  }
  const double fitted = std::exp(log_sum / 3);
  EXPECT_NEAR(fitted, 1.2156, 5e-5);
  EXPECT_NEAR(100 * (fitted / 1.147 - 1), 6, 0.5);
}

TEST(Resistance, TemperatureInPairs) {
  const std::vector<double> celsius = {10, 25, 40};
  const std::vector<double> ohm = {1.958, 1.147, 0.835};
  const std::span<const double> t(celsius), r(ohm);
  EXPECT_NEAR(kGas * ArrheniusB(t.first(2), r.first(2)), 25.0, 0.05);
  EXPECT_NEAR(kGas * ArrheniusB(t.last(2), r.last(2)), 16.4, 0.05);
}

// The same cells: R0 of two of them, the branches as ranges over all eleven (looked up), so that
// the resistance after 0.1 and 10 s is a range, too, and the worked figures lie in it.
TEST(Resistance, LengthOfThePulse) {
  const struct {
    double r0, at_tenth, at_ten;
  } kRows[] = {{1.189, 1.194, 1.374}, {1.359, 1.366, 1.617}};
  constexpr double kRounding = 5e-4;
  for (const auto& row : kRows) {
    const CellCircuit least{row.r0, 0.122, 3.2, 0.174, 25};
    const CellCircuit most{row.r0, 0.192, 3.0, 0.209, 23};
    EXPECT_NEAR(PulseResistance(least, 0), row.r0, 1e-12);
    EXPECT_LE(PulseResistance(least, 0.1) - kRounding, row.at_tenth);
    EXPECT_GE(PulseResistance(most, 0.1) + kRounding, row.at_tenth);
    EXPECT_LE(PulseResistance(least, 10) - kRounding, row.at_ten);
    EXPECT_GE(PulseResistance(most, 10) + kRounding, row.at_ten);
    EXPECT_GT(PulseResistance(least, 10), PulseResistance(most, 2));
  }
}

TEST(Resistance, SmallStepsCarryNoInformation) {
  // Steps of 0.5 V on 0.112 ohm.
  EXPECT_NEAR(100 * RoundingShare(0.5, 10, 0.112), 18, 0.5);
  EXPECT_NEAR(100 * RoundingShare(0.5, 20, 0.112), 9, 0.5);
  EXPECT_NEAR(100 * RoundingShare(0.5, 50, 0.112), 3.6, 0.05);
  EXPECT_NEAR(100 * RoundingShare(0.5, 150, 0.112), 1.2, 0.05);
}

}  // namespace
}  // namespace proofdrive::analysis
