// Measurements settle scales, and contradict.
#include "analysis/measured/measured.h"

#include <gmock/gmock.h>

#include "analysis/measured/quantity.h"
#include "tests/unit/analysis/checks/input_builder.h"

namespace proofdrive::analysis {
namespace {

using decoders::KnownFrom;
using ::testing::ElementsAre;
using ::testing::EndsWith;
using ::testing::HasSubstr;
using testing::InputBuilder;
using ::testing::IsEmpty;
using ::testing::StartsWith;

session::Measurement Measured(const char* text, double at_s) {
  session::Measurement one = ParseMeasured(text).value();
  one.at = WallTime(FromSeconds(at_s));
  one.how = "a meter";
  return one;
}

// The monitor says 2000 kohm for five minutes.
InputBuilder Car(KnownFrom known_from = KnownFrom::kGuess) {
  InputBuilder car(300);
  car.Scalar("isolation resistance", 1, 1,
             [](double at) { return 2000 + 3 * (static_cast<int>(at) % 5); });
  car.last().unit = "kohm";
  car.last().known_from = known_from;
  car.Scalar("pack voltage", 1, 0.1, [](double at) { return 377 + 0.5 * (at > 150); });
  car.last().unit = "V";
  car.last().known_from = KnownFrom::kDocument;
  return car;
}

CheckResult Answer(InputBuilder car, const char* text, double at_s, const char* check) {
  car.input().measured = {Measured(text, at_s)};
  return car.Run(check, testing::SettingsOf({"pack.working_voltage=400"}));
}

TEST(Measured, AgreementSettlesTheScale) {
  const CheckResult result = Answer(Car(), "insulation 2.1 Mohm", 100, "insulation");
  EXPECT_EQ(result.status, CheckStatus::kWithin);
  EXPECT_EQ(result.proviso, "") << "it is no guess any more";
  EXPECT_THAT(result.measured,
              ElementsAre("what was measured at 1970-01-01T00:01:40Z (insulation 2.1 Mohm: a "
                          "meter) confirms isolation_resistance, which says 2006 kohm: they agree "
                          "within 631 kohm"));
}

TEST(Measured, ContradictionTakesGoodNewsFromAGuess) {
  const CheckResult result = Answer(Car(), "insulation 210 kohm", 100, "insulation");
  EXPECT_EQ(result.status, CheckStatus::kCannotTell);
  EXPECT_EQ(result.FirstSentence(),
            "what was measured at 1970-01-01T00:01:40Z (insulation 210 kohm: a meter) contradicts "
            "isolation_resistance, which says 2006 kohm: they differ by more than 64 kohm, so "
            "one of them is wrong");
  const CheckResult signals = Answer(Car(), "insulation 210 kohm", 100, "signals");
  EXPECT_EQ(signals.status, CheckStatus::kLookCloser);
  EXPECT_THAT(signals.FirstSentence(), StartsWith("what was measured"));
}

TEST(Measured, ADocumentedSignalIsStillJudgedButNeverGoodNews) {
  const auto car = [] {
    InputBuilder wet(300);
    wet.Scalar("isolation resistance", 1, 1,
               [](double at) { return 30 + static_cast<int>(at) % 2; });
    wet.last().unit = "kohm";
    wet.last().known_from = KnownFrom::kDocument;
    return wet;
  };
  const CheckResult wet = Answer(car(), "insulation 2.1 Mohm", 100, "insulation");
  EXPECT_EQ(wet.status, CheckStatus::kOutside) << "bad news stays";
  EXPECT_THAT(wet.FirstSentence(), StartsWith("what was measured"));
  EXPECT_THAT(wet.FirstSentence(), HasSubstr("is below 100 ohm/V"));
  const CheckResult dry =
      Answer(Car(KnownFrom::kDocument), "insulation 210 kohm", 100, "insulation");
  EXPECT_EQ(dry.status, CheckStatus::kCannotTell);
}

TEST(Measured, TooFarInTimeSaysNothing) {
  const CheckResult result = Answer(Car(), "insulation 210 kohm", 300 + 601, "insulation");
  EXPECT_EQ(result.status, CheckStatus::kWithin);
  EXPECT_THAT(result.proviso, HasSubstr("it is a guess"));
  EXPECT_THAT(result.measured, ElementsAre(EndsWith("no value within 10 min of that time")));
  const CheckResult near = Answer(Car(), "insulation 210 kohm", 300 + 599, "insulation");
  EXPECT_EQ(near.status, CheckStatus::kCannotTell);
}

TEST(Measured, AMonitorAtTheEndOfItsRangeSaysNothing) {
  InputBuilder car(300);
  car.Scalar("isolation resistance", 1, 1, [](double) { return 5000; });
  car.last().unit = "kohm";
  car.last().range_high = 5000;
  const std::vector<session::Measurement> measured = {Measured("insulation 550 Mohm", 100)};
  const auto notes = HoldAgainst(car.input(), measured);
  ASSERT_EQ(notes.size(), 1U);
  EXPECT_EQ(notes[0].outcome, MeasuredOutcome::kSaysNothing);
  EXPECT_FALSE(car.input().signals[0].contradicted);
}

TEST(Measured, NearZeroNoScaleIsSettled) {
  InputBuilder car(300);
  car.Scalar("pack voltage", 1, 0.1, [](double) { return 0.1; });
  car.last().unit = "V";
  const std::vector<session::Measurement> measured = {Measured("pack voltage 0.2 V", 100)};
  EXPECT_EQ(HoldAgainst(car.input(), measured)[0].outcome, MeasuredOutcome::kSaysNothing);
  EXPECT_EQ(car.input().signals[0].known_from, KnownFrom::kGuess);
}

TEST(Measured, OneCellSettlesTheScaleOfAll) {
  InputBuilder car(300);
  car.Each("cell voltages", 12, 1, 0.001,
           [](std::size_t cell, double) { return 3.6 + 0.001 * static_cast<double>(cell); });
  car.last().unit = "V";
  const std::vector<session::Measurement> right = {Measured("cell 7 3.61 V", 100)};
  EXPECT_EQ(HoldAgainst(car.input(), right)[0].outcome, MeasuredOutcome::kConfirms);
  EXPECT_EQ(car.input().signals[0].known_from, KnownFrom::kMeasurement);
  const std::vector<session::Measurement> wrong = {Measured("cell 7 3.70 V", 100)};
  EXPECT_EQ(HoldAgainst(car.input(), wrong)[0].outcome, MeasuredOutcome::kContradicts);
  const std::vector<session::Measurement> none = {Measured("cell 13 3.61 V", 100)};
  EXPECT_THAT(HoldAgainst(car.input(), none)[0].sentence, HasSubstr("it has 12 elements"));
}

TEST(Measured, AClampDoesNotKnowTheDirection) {
  InputBuilder car(300);
  car.Scalar("pack current", 1, 0.1, [](double) { return -12.3; });
  car.last().unit = "A";
  const std::vector<session::Measurement> measured = {Measured("current 12 A", 100)};
  EXPECT_EQ(HoldAgainst(car.input(), measured)[0].outcome, MeasuredOutcome::kConfirms);
}

TEST(Measured, WithoutSuchASignalItStandsAlone) {
  const CheckResult signals = Answer(Car(), "coolant temperature 21 degC", 100, "signals");
  EXPECT_THAT(signals.measured,
              ElementsAre(EndsWith(
                  "stands alone: no signal with the role \"coolant inlet temperature\" brought "
                  "values")));
  EXPECT_THAT(Answer(Car(), "coolant temperature 21 degC", 100, "insulation").measured, IsEmpty());
}

TEST(Measured, EveryRoleOfNumbersHasItsAgreement) {
  for (const decoders::Role& role : decoders::AllRoles()) {
    if (role.unit.empty()) continue;
    EXPECT_EQ(ToleranceOf(role.name).unit, role.unit) << role.name;
  }
}

}  // namespace
}  // namespace proofdrive::analysis
