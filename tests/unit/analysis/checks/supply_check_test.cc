// Limits: ISO 16750-2 code C, 9 to 16 V (from memory); the others are proposals.
#include "analysis/checks/supply_check.h"

#include <gmock/gmock.h>

#include "tests/unit/analysis/checks/input_builder.h"

namespace proofdrive::analysis {
namespace {

using ::testing::Contains;
using testing::Formula;
using ::testing::HasSubstr;
using testing::InputBuilder;

// High voltage up from 20 s on.
CheckResult Check(const Formula& volt) {
  InputBuilder input(120);
  input.Scalar("supply voltage", 0.1, 0.01, volt)
      .States("contactor state", {"open", "precharge", "closed"}, 0.1,
              [](double t) { return t < 20 ? 0 : 2; })
      .States("converter state", {"off", "on"}, 0.1, [](double t) { return t < 20 ? 0 : 1; });
  return input.Run("supply");
}

double Good(double t) { return t < 20 ? 12.33 : 14.0; }

TEST(SupplyCheck, Healthy) {
  const CheckResult result = Check(Good);
  EXPECT_EQ(result.status, CheckStatus::kWithin) << result.summary;
  EXPECT_NEAR(result.FindFigure("supply_with_converter")->value, 14.0, 1e-6);
  // Published table of rested lead-acid batteries: 12.33 V is 60.7 % (worked).
  EXPECT_NEAR(result.FindFigure("battery_charge")->value, 60.7, 0.05);
}

TEST(SupplyCheck, SagAtWakeUp) {
  const CheckResult result = Check([](double t) { return t > 2 && t < 2.5 ? 8.4 : Good(t); });
  EXPECT_EQ(result.status, CheckStatus::kOutside);
  EXPECT_THAT(result.summary, HasSubstr("sagged to 8.40 V"));
  const CheckResult low = Check([](double t) { return t > 2 && t < 5 ? 10.6 : Good(t); });
  EXPECT_EQ(low.status, CheckStatus::kLookCloser);
  EXPECT_THAT(low.summary, HasSubstr("warnings set within 5 s of it may come from the supply"));
}

TEST(SupplyCheck, OneOddReadingIsNoSag) {
  EXPECT_EQ(Check([](double t) { return t > 50 && t < 50.05 ? 8.4 : Good(t); }).status,
            CheckStatus::kWithin);
}

TEST(SupplyCheck, ConverterDropsOut) {
  const CheckResult result = Check([](double t) { return t > 60 && t < 80 ? 12.4 : Good(t); });
  EXPECT_EQ(result.status, CheckStatus::kLookCloser);
  EXPECT_THAT(result.summary, HasSubstr("although it says that it is on"));
  EXPECT_NEAR(result.FindFigure("converter_dropout")->value, 20, 0.3);
}

TEST(SupplyCheck, OverVoltage) {
  const CheckResult result = Check([](double t) { return t < 20 ? 12.4 : 15.4; });
  EXPECT_EQ(result.status, CheckStatus::kOutside);
  EXPECT_THAT(result.summary, HasSubstr("over-voltage"));
}

TEST(SupplyCheck, WithoutHighVoltageTheConverterIsNotJudged) {
  InputBuilder input(60);
  input.Scalar("supply voltage", 0.1, 0.01, [](double) { return 12.5; });
  const CheckResult result = input.Run("supply");
  EXPECT_EQ(result.status, CheckStatus::kWithin);
  EXPECT_THAT(result.missing, Contains(HasSubstr("to see the converter work")));
}

}  // namespace
}  // namespace proofdrive::analysis
