#include "analysis/physics/precharge.h"

#include <gtest/gtest.h>

#include <vector>

namespace proofdrive::analysis {
namespace {

// Worked: 50 ohm and 2 mF at 400 V, tau 0.1 s. Design notes (looked up) give 30 - 100 ohm.
constexpr double kOhm = 50;
constexpr double kFarad = 2e-3;

TEST(Precharge, CapacitanceOfTheLink) {
  EXPECT_NEAR(LinkFarad(0.100, kOhm), kFarad, 1e-12);
  EXPECT_EQ(LinkFarad(0.100, 0), 0);
}

TEST(Precharge, FitOfRoundedReadings) {
  const std::vector<double> volt = {157, 253, 311, 346, 367, 380, 388, 393};
  const auto three = PrechargeOfThree(volt[0], volt[2], volt[4], 0.1);
  ASSERT_TRUE(three);
  EXPECT_NEAR(three->tau_s, 0.0989, 5e-5);
  EXPECT_NEAR(three->end_v, 399.0, 0.05);
}

// 400 V through 50 ohm with 600 ohm left on end at 92.3 %.
TEST(Precharge, LoadLeftOn) {
  EXPECT_NEAR(LoadOf(50, 600.0 / 650), 600, 1e-6);
  EXPECT_EQ(LoadOf(50, 1), 0);
}

TEST(Precharge, NothingToFit) { EXPECT_FALSE(PrechargeOfThree(1, 2, 3, 0.1)); }

}  // namespace
}  // namespace proofdrive::analysis
