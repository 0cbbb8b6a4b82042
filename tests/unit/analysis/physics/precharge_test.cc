#include "analysis/physics/precharge.h"

#include <gtest/gtest.h>

#include <vector>

#include "analysis/physics/insulation.h"

namespace proofdrive::analysis {
namespace {

// Worked: 50 ohm and 2 mF at 400 V, tau 0.1 s. Design notes (looked up) give 30 - 100 ohm.
constexpr double kOhm = 50;
constexpr double kFarad = 2e-3;

TEST(Precharge, CapacitanceOfTheLink) {
  EXPECT_NEAR(BodyEnergy(kFarad, 400), 160, 1e-9);  // as much as the resistor takes up
  EXPECT_NEAR(LinkFarad(0.100, kOhm), kFarad, 1e-12);
  EXPECT_EQ(LinkFarad(0.100, 0), 0);
}

TEST(Precharge, FitOfRoundedReadings) {
  const std::vector<double> volt = {157, 253, 311, 346, 367, 380, 388, 393};
  std::vector<double> t;
  for (std::size_t i = 0; i < volt.size(); ++i) t.push_back(0.05 * static_cast<double>(i + 1));
  EXPECT_NEAR(*PrechargeTau(t, volt, 400, false), 0.09963, 5e-6);
  EXPECT_NEAR(*PrechargeTau(t, volt, 400, true), 0.09998, 5e-6);
  const auto three = PrechargeOfThree(volt[0], volt[2], volt[4], 0.1);
  ASSERT_TRUE(three);
  EXPECT_NEAR(three->tau_s, 0.0989, 5e-5);
  EXPECT_NEAR(three->end_v, 399.0, 0.05);
}

TEST(Precharge, TimesToAShare) {
  EXPECT_NEAR(SecondsToShare(0.1, 0.95), 0.29957, 5e-6);
  EXPECT_NEAR(SecondsToShare(0.1, 0.98), 0.39120, 5e-6);
}

TEST(Precharge, LoadLeftOn) {
  EXPECT_NEAR(LoadedEnd(400, 50, 1000), 380.95, 5e-3);
  EXPECT_NEAR(100 * LoadedEnd(400, 50, 1000) / 400, 95.24, 5e-3);
  EXPECT_NEAR(LoadedEnd(400, 50, 950) / 400, 0.95, 1e-12);
  EXPECT_NEAR(100 * LoadedEnd(400, 50, 600) / 400, 92.3, 0.05);
  EXPECT_NEAR(LoadOf(50, LoadedEnd(400, 50, 600) / 400), 600, 1e-6);
  EXPECT_EQ(LoadOf(50, 1), 0);
}

TEST(Precharge, Decay) {
  EXPECT_NEAR(DecaySeconds(30e3 * kFarad, 400, 60), 113.8, 0.05);
  EXPECT_NEAR(5 / DecaySeconds(1, 400, 60), 2.636, 5e-4);
  EXPECT_NEAR(5 / DecaySeconds(1, 400, 60) / kFarad, 1318, 0.5);
  EXPECT_NEAR(10 / DecaySeconds(1, 400, 60), 5.27, 5e-3);
  EXPECT_NEAR(60 / DecaySeconds(1, 400, 60), 31.6, 0.05);
}

TEST(Precharge, NothingToFit) {
  EXPECT_FALSE(PrechargeTau({}, {}, 400, true));
  EXPECT_FALSE(PrechargeTau(std::vector<double>{1, 2}, std::vector<double>{400, 401}, 400, true));
  EXPECT_FALSE(PrechargeOfThree(1, 2, 3, 0.1));
}

}  // namespace
}  // namespace proofdrive::analysis
