#include "analysis/physics/zero_range.h"

#include <gtest/gtest.h>

#include "analysis/physics/open_curves.h"

namespace proofdrive::analysis {
namespace {

RangeInputs Good() { return {true, true, true, true, false}; }

TEST(ZeroRange, EveryRowOfTheTable) {
  EXPECT_EQ(CauseOfZeroRange(Good()), RangeCause::kNoHistory);
  RangeInputs inputs = Good();
  inputs.charge_valid = false;
  EXPECT_EQ(CauseOfZeroRange(inputs), RangeCause::kNoCharge);
  inputs = Good();
  inputs.energy_left = false;
  EXPECT_EQ(CauseOfZeroRange(inputs), RangeCause::kEmpty);
  inputs = Good();
  inputs.discharge_allowed = false;
  EXPECT_EQ(CauseOfZeroRange(inputs), RangeCause::kLimited);
  inputs.fault_latched = true;
  EXPECT_EQ(CauseOfZeroRange(inputs), RangeCause::kFault);
  inputs = Good();
  inputs.contactors_closed = false;
  EXPECT_EQ(CauseOfZeroRange(inputs), RangeCause::kNotConnected);
}

TEST(ZeroRange, MissingInputs) {
  EXPECT_EQ(CauseOfZeroRange({}), RangeCause::kUnknown);
  RangeInputs inputs = Good();
  inputs.discharge_allowed.reset();
  EXPECT_EQ(CauseOfZeroRange(inputs), RangeCause::kUnknown);
  inputs.fault_latched = true;
  EXPECT_EQ(CauseOfZeroRange(inputs), RangeCause::kFault);
}

// 48 % of 60 kWh at 165 Wh/km; the rested median cell says 42.48 %.
TEST(ZeroRange, WorkedExample) {
  EXPECT_NEAR(0.48 * 60, 28.8, 1e-9);
  EXPECT_NEAR(28.8 / 0.165, 174.5, 0.05);
  const double energy = CurveOfText("nmc811-silicon")->ChargeAt(3.682) * 60;
  EXPECT_NEAR(energy, 25.5, 0.05);
  EXPECT_NEAR(energy / 0.165, 154, 0.6);
  EXPECT_NEAR(96 * 3.682, 353.47, 5e-3);
}

}  // namespace
}  // namespace proofdrive::analysis
