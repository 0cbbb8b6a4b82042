// Rest without a signal of current: nothing that may have been a drive.
#include "analysis/checking/rest.h"

#include <gtest/gtest.h>

#include <cmath>

#include "analysis/checking/states.h"

#include "tests/unit/analysis/checks/input_builder.h"

namespace proofdrive::analysis {
namespace {

using testing::InputBuilder;

double RestOf(const InputBuilder& builder) {
  InputBuilder input = builder;
  for (RoleSignal& signal : input.input().signals) UnderstandStates(signal);
  return TotalLength(RestingTime(input.input(), {}));
}

TEST(Rest, WithoutCurrentTheContactorsTell) {
  InputBuilder input(4000);
  input.States("contactor state", {"open", "precharge", "closed"}, 1,
               [](double t) { return t < 1000 ? 2 : 0; });
  EXPECT_NEAR(RestOf(input), 3000, 5);
}

TEST(Rest, WithoutCurrentAndStateTheVoltagesTell) {
  const auto driving = [](std::size_t, double t) {
    return 3.7 - (t < 2000 ? 0.05 * std::fabs(std::sin(t / 15)) : 0);
  };
  InputBuilder input(4000);
  input.Each("cell voltages", 8, 2, 0.001, driving);
  EXPECT_NEAR(RestOf(input), 2000, 10);
  input.Scalar("vehicle speed", 1, 0.1, [](double t) { return t > 3000 ? 30 : 0; });
  EXPECT_NEAR(RestOf(input), 1000, 10);
}

TEST(Rest, NothingTellsThatItRests) {
  InputBuilder input(4000);
  input.Scalar("state of charge", 1, 0.5, [](double) { return 50; });
  EXPECT_EQ(RestOf(input), 0);
}

// A slow charge moves the cells: 10 A into 100 Ah.
TEST(Rest, ASlowChargeIsNoRest) {
  InputBuilder input(7200);
  input.Each("cell voltages", 8, 2, 0.001,
             [](std::size_t, double t) { return 3.7 + 0.9 * t / 3600 * 0.1; });
  EXPECT_EQ(RestOf(input), 0);
}

TEST(Rest, ColdPacksNeedLonger) {
  InputBuilder input(600);
  input.Each("cell temperatures", 4, 2, 0.5, [](std::size_t, double) { return 10.0; });
  EXPECT_EQ(NeededRestSeconds(input.input(), 1, {0, 600}), 3 * 3600);
}

}  // namespace
}  // namespace proofdrive::analysis
