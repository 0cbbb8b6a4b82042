// Worked examples: a chain of warnings with one root, and a string that is open between the cells
// and the terminals (calculated; trade logic).
#include "analysis/checks/interlock_check.h"

#include <gmock/gmock.h>

#include "tests/unit/analysis/checks/input_builder.h"

namespace proofdrive::analysis {
namespace {

using ::testing::Contains;
using testing::Formula;
using ::testing::HasSubstr;
using testing::InputBuilder;
using testing::SettingsOf;

Formula From(double at_s) {
  return [at_s](double t) { return t < at_s ? 0 : 1; };
}
Formula Until(double at_s) {
  return [at_s](double t) { return t < at_s ? 1 : 0; };
}

InputBuilder Car(const Formula& crash, const Formula& loop_open, const Formula& closed) {
  InputBuilder input(250);
  input.States("crash latch", {"clear", "set"}, 0.01, crash)
      .States("interlock", {"closed", "open"}, 0.01, loop_open)
      .States("contactor state", {"open", "closed"}, 0.01, closed);
  return input;
}

TEST(InterlockCheck, NothingHappened) {
  const CheckResult result = Car(From(999), From(999), From(5)).Run("interlock");
  EXPECT_EQ(result.status, CheckStatus::kWithin) << result.summary;
}

TEST(InterlockCheck, TheFirstOfAChainIsNamed) {
  InputBuilder input = Car(From(50.00), From(50.03), Until(50.03));
  input.States("converter state", {"off", "on"}, 0.01, Until(50.21))
      .Scalar("supply voltage", 0.1, 0.1, [](double t) { return t < 234 ? 12.8 : 9.5; });
  const CheckResult result = input.Run("interlock");
  EXPECT_EQ(result.status, CheckStatus::kOutside);
  EXPECT_EQ(result.FindFigure("event_chains")->value, 2);
  EXPECT_THAT(
      result.findings,
      Contains(HasSubstr("look first at: crash latch; 3 events came after it, the last 0.21")));
}

TEST(InterlockCheck, BeforeTheContactorsOrAfterThem) {
  const auto moved = [](double at_s) {
    return [at_s](double t) { return t >= at_s && t < at_s + 10 ? 1 : 0; };
  };
  const CheckResult before = Car(From(999), moved(60), Until(62)).Run("interlock");
  EXPECT_EQ(before.status, CheckStatus::kLookCloser);
  EXPECT_THAT(before.summary, HasSubstr("before the contactors did"));
  const CheckResult after = Car(From(999), moved(70), Until(62)).Run("interlock");
  EXPECT_EQ(after.status, CheckStatus::kWithin) << after.summary;
  const CheckResult stays = Car(From(999), From(70), Until(62)).Run("interlock");
  EXPECT_EQ(stays.status, CheckStatus::kOutside);
  EXPECT_THAT(stays.summary, HasSubstr("open at the end"));
}

InputBuilder WithCells(const Formula& closed, const Formula& pack) {
  InputBuilder input = Car(From(999), From(999), closed);
  input.Each("cell voltages", 96, 5, 0.0001, [](std::size_t, double) { return 353.5 / 96; })
      .Scalar("pack voltage", 1, 0.1, pack);
  return input;
}
Formula Always(double value) {
  return [value](double) { return value; };
}

TEST(InterlockCheck, AnOpenString) {
  const CheckResult open = WithCells(From(5), Always(0.4)).Run("interlock");
  EXPECT_EQ(open.status, CheckStatus::kOutside);
  EXPECT_THAT(open.summary, HasSubstr("the string is open"));
  ASSERT_NE(open.FindFigure("terminals_against_cells"), nullptr);
  EXPECT_NEAR(open.FindFigure("terminals_against_cells")->value, 0.001, 5e-4);
  EXPECT_EQ(WithCells(From(5), Always(353.1)).Run("interlock").status, CheckStatus::kWithin);
}

TEST(InterlockCheck, HalfOfTheCells) {
  const auto half = [] { return WithCells(From(5), Always(176.7)); };
  const CheckResult look = half().Run("interlock");
  EXPECT_EQ(look.status, CheckStatus::kLookCloser) << look.summary;
  EXPECT_THAT(look.summary, HasSubstr("the service disconnect in the middle is out"));
  EXPECT_EQ(half().Run("interlock", SettingsOf({"pack.cells=96"})).status, CheckStatus::kOutside);
  // Two strings in parallel: by the fact, and by the current that flows.
  EXPECT_EQ(half().Run("interlock", SettingsOf({"pack.cells=48"})).status, CheckStatus::kWithin);
  InputBuilder driven = half();
  driven.Scalar("pack current", 0.1, 0.1, Always(30));
  EXPECT_EQ(driven.Run("interlock").status, CheckStatus::kWithin);
}

// Parked, such a voltage is zero and the string is not open.
TEST(InterlockCheck, APackVoltageFromBehindTheContactors) {
  const auto driven = [](double t) { return t < 50 ? 1 : 0; };
  const CheckResult used =
      WithCells(driven, [](double t) { return t < 50 ? 353.1 : 0.3; }).Run("interlock");
  EXPECT_EQ(used.status, CheckStatus::kWithin) << used.summary;
  const CheckResult parked = WithCells(Always(0), Always(0.3)).Run("interlock");
  EXPECT_EQ(parked.status, CheckStatus::kLookCloser) << parked.summary;
  EXPECT_THAT(parked.summary, HasSubstr("behind the contactors"));
}

TEST(InterlockCheck, WithoutAnySignalItCannotTell) {
  InputBuilder input(60);
  const CheckResult result = input.Run("interlock");
  EXPECT_EQ(result.status, CheckStatus::kCannotTell);
  EXPECT_THAT(result.missing, Contains(HasSubstr("crash latch")));
  EXPECT_THAT(result.missing, Contains(HasSubstr("interlock")));
}

TEST(InterlockCheck, ACarThatDrivesHasNoOpenString) {
  InputBuilder drives = WithCells(From(5), Always(176.7));
  drives.Scalar("vehicle speed", 1, 0.1, Always(50));
  EXPECT_EQ(drives.Run("interlock").status, CheckStatus::kWithin);
  InputBuilder no_state(250);
  no_state.States("crash latch", {"clear", "set"}, 1, Always(0))
      .States("interlock", {"closed", "open"}, 1, Always(0))
      .Each("cell voltages", 96, 5, 0.0001, [](std::size_t, double) { return 353.5 / 96; })
      .Scalar("pack voltage", 1, 0.1, Always(176.7))
      .Scalar("pack current", 1, 0.1, Always(30));
  EXPECT_EQ(no_state.Run("interlock").status, CheckStatus::kWithin);
}

}  // namespace
}  // namespace proofdrive::analysis
