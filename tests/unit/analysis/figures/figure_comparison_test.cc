#include "analysis/figures/figure_comparison.h"

#include <gtest/gtest.h>

namespace proofdrive::analysis {
namespace {

CheckResult With(const std::string& check, Figure figure) {
  CheckResult result;
  result.name = check;
  result.status = CheckStatus::kWithin;
  result.figures.push_back(std::move(figure));
  return result;
}

FigureComparison Compare(const std::string& check, const Figure& before, const Figure& after,
                         const Conditions& conditions = {}) {
  return CompareFigures(With(check, before), With(check, after), conditions).at(0);
}

Figure Insulation(double kohm) { return {"resistance", kohm, "kohm", 0.03 * kohm, ""}; }

// Both are within limits by far: that it fell is told all the same.
TEST(CompareFigures, InsulationThatFellWithinLimitsIsToldAtEqualTemperature) {
  Conditions conditions;
  conditions.celsius_before = 15.9;
  conditions.celsius_after = 17.9;
  const FigureComparison one =
      Compare("insulation", Insulation(4000), Insulation(1500), conditions);
  EXPECT_EQ(one.change, FigureChange::kFell);
  EXPECT_TRUE(one.is_main);
  EXPECT_EQ(one.words, "insulation");
  EXPECT_EQ(one.Sentence(), "fell to 40 % (36 to 45 %) at equal temperature (15.9 and 17.9 degC)");
}

// 20 K colder may explain all of it.
TEST(CompareFigures, InsulationThatTemperatureExplainsIsUnclear) {
  Conditions conditions;
  conditions.celsius_before = 5;
  conditions.celsius_after = 25;
  EXPECT_EQ(Compare("insulation", Insulation(4000), Insulation(2000), conditions).change,
            FigureChange::kUnclear);
}

TEST(CompareFigures, WithoutTemperaturesItSaysSo) {
  EXPECT_EQ(Compare("insulation", Insulation(4000), Insulation(1500)).Sentence(),
            "fell to 38 % (35 to 41 %), not corrected: the temperature of the cells is not "
            "known");
}

// The pack alone before, the pack and the vehicle after.
TEST(CompareFigures, InsulationOfAnotherCircuitIsNoChange) {
  Conditions conditions;
  conditions.celsius_before = conditions.celsius_after = 20;
  conditions.closed_before = false;
  conditions.closed_after = true;
  const FigureComparison fell =
      Compare("insulation", Insulation(4000), Insulation(1500), conditions);
  EXPECT_EQ(fell.change, FigureChange::kUnclear);
  EXPECT_TRUE(fell.Sentence().ends_with(
      "; the vehicle's side was measured only after, with the contactors closed"))
      << fell.Sentence();
  EXPECT_EQ(Compare("insulation", Insulation(1500), Insulation(4000), conditions).change,
            FigureChange::kRose);
  std::swap(conditions.closed_before, conditions.closed_after);
  EXPECT_EQ(Compare("insulation", Insulation(4000), Insulation(1500), conditions).change,
            FigureChange::kFell);
  EXPECT_EQ(Compare("insulation", Insulation(1500), Insulation(4000), conditions).change,
            FigureChange::kUnclear);
}

TEST(ConditionsOf, ContactorsThatWereClosed) {
  auto definitions = std::make_shared<decoders::Definitions>();
  decoders::Signal& signal = definitions->signals.emplace_back();
  signal.role = "contactor state";
  signal.states = {{0, 0, "open"}, {1, 1, "closed"}};
  SessionFindings open, closed;
  for (SessionFindings* one : {&open, &closed}) {
    one->definitions = definitions;
    one->signals.resize(1);
    one->signals[0].values = 10;
  }
  open.signals[0].state_counts = {10, 0};
  closed.signals[0].state_counts = {5, 5};
  const Conditions conditions = ConditionsOf(open, closed, {});
  EXPECT_EQ(conditions.closed_before, false);
  EXPECT_EQ(conditions.closed_after, true);
  EXPECT_EQ(ConditionsOf(SessionFindings(), closed, {}).closed_before, std::nullopt);
}

TEST(CompareFigures, ColdPackIsNoWornPack) {
  Conditions conditions;
  conditions.celsius_before = 25;
  conditions.celsius_after = 15;
  const Figure before{"pack_resistance", 100, "mohm", 3, ""};
  EXPECT_EQ(
      Compare("resistance", before, {"pack_resistance", 134, "mohm", 4, ""}, conditions).change,
      FigureChange::kUnclear);
  conditions.celsius_after = 25;
  EXPECT_EQ(
      Compare("resistance", before, {"pack_resistance", 134, "mohm", 4, ""}, conditions).change,
      FigureChange::kRose);
  EXPECT_EQ(
      Compare("resistance", before, {"pack_resistance", 101, "mohm", 3, ""}, conditions).change,
      FigureChange::kSame);
}

TEST(CompareFigures, VoltagesAreComparedByTheirDifference) {
  const FigureComparison one = Compare("supply", {"supply_on_battery", 12.7, "V", {}, ""},
                                       {"supply_on_battery", 12.2, "V", {}, ""});
  EXPECT_EQ(one.change, FigureChange::kFell);
  EXPECT_EQ(one.Sentence(), "fell by 0.5 V (0.361 to 0.639)");
}

TEST(CompareFigures, WithoutUncertaintyNothingIsClaimed) {
  const FigureComparison one = Compare("supply", {"supply_highest", 14.1, "V", {}, ""},
                                       {"supply_highest", 14.9, "V", {}, ""});
  EXPECT_EQ(one.change, FigureChange::kNotKnown);
  EXPECT_FALSE(one.is_main);
  EXPECT_EQ(one.words, "supply highest");
  EXPECT_EQ(one.Sentence(), "how sure that is, is not known");
}

TEST(CompareFigures, OnlyWhatBothHave) {
  CheckResult before = With("balance", {"spread", 20, "mV", {}, ""});
  CheckResult after = With("balance", {"weakest_gap", 2, "%", {}, ""});
  EXPECT_TRUE(CompareFigures(before, after, {}).empty());
}

}  // namespace
}  // namespace proofdrive::analysis
