#include "analysis/physics/standby.h"

#include <gtest/gtest.h>

#include <vector>

namespace proofdrive::analysis {
namespace {

TEST(Standby, OnePause) {
  const std::vector<Pause> pause = {{51, 2.5}};
  EXPECT_NEAR(LossPerDay(pause), 1.18, 5e-3);
  EXPECT_NEAR(LossWatt(LossPerDay(pause), 60), 29.4, 0.05);
  EXPECT_NEAR(LossWatt(LossPerDay(pause), 60) * 24 / 1000, 0.706, 5e-4);
  EXPECT_NEAR(1000 * LossWatt(LossPerDay(pause), 60) / 360, 82, 0.5);
  EXPECT_NEAR(LossWatt(LossPerDay(pause), 60) * 0.9 / 12.8, 2.07, 5e-3);
}

TEST(Standby, SeveralPauses) {
  const std::vector<Pause> pauses = {{14.2, 0.5}, {51, 2.5}, {9.5, 0.0}, {120, 5.0}, {33, 2.0}};
  EXPECT_NEAR(LossPerDay(pauses), 1.054, 5e-4);
  EXPECT_NEAR(LossUncertainty(pauses, 0.5), 0.048, 5e-4);
  EXPECT_EQ(LossPerDay({}), 0);
  EXPECT_EQ(LossUncertainty({}, 0.5), 0);
}

}  // namespace
}  // namespace proofdrive::analysis
