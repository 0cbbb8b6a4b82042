#include "analysis/physics/standby.h"

#include <gtest/gtest.h>

#include <span>
#include <vector>

#include "analysis/physics/charge_count.h"

namespace proofdrive::analysis {
namespace {

TEST(Standby, OnePause) {
  const std::vector<Pause> pause = {{51, 2.5}};
  EXPECT_NEAR(LossPerDay(pause), 1.18, 5e-3);
  EXPECT_NEAR(LossWatt(LossPerDay(pause), 60), 29.4, 0.05);
  EXPECT_NEAR(LossWatt(LossPerDay(pause), 60) * 24 / 1000, 0.706, 5e-4);
  EXPECT_NEAR(1000 * LossWatt(LossPerDay(pause), 60) / 360, 82, 0.5);
  EXPECT_NEAR(LossWatt(LossPerDay(pause), 60) * 0.9 / 12.8, 2.07, 5e-3);
  // 30 W, and a group of control units that stays awake.
  EXPECT_NEAR(LossWatt(100 * 0.72 / 60, 60), 30, 1e-9);
  EXPECT_NEAR(LossWatt(100 * 6.0 / 60, 60), 250, 1e-9);
}

// 30 mA out of a 12 V battery of 60 Ah: half of it is gone after 41.7 days.
TEST(Standby, SupplyBattery) {
  const std::vector<double> t = {0, 41.7 * 86'400};
  const std::vector<double> amps = {0.030, 0.030};
  EXPECT_NEAR(Trapezoid(t, amps) / 3600, 60 / 2, 0.05);
}

TEST(Standby, SeveralPauses) {
  const std::vector<Pause> pauses = {{14.2, 0.5}, {51, 2.5}, {9.5, 0.0}, {120, 5.0}, {33, 2.0}};
  EXPECT_NEAR(LossPerDay(pauses), 1.054, 5e-4);
  EXPECT_NEAR(LossUncertainty(pauses, 0.5), 0.048, 5e-4);
  const double singles[] = {0.85, 1.18, 0.00, 1.00, 1.45};
  for (std::size_t i = 0; i < pauses.size(); ++i) {
    EXPECT_NEAR(LossPerDay(std::span(pauses).subspan(i, 1)), singles[i], 5.1e-3) << i;
  }
  EXPECT_EQ(LossPerDay({}), 0);
  EXPECT_EQ(LossUncertainty({}, 0.5), 0);
}

}  // namespace
}  // namespace proofdrive::analysis
