// No answer goes without what it rests on.
#include "analysis/checking/guesses.h"

#include <gmock/gmock.h>

#include "tests/unit/analysis/checks/input_builder.h"

namespace proofdrive::analysis {
namespace {

using decoders::KnownFrom;
using ::testing::EndsWith;
using testing::InputBuilder;

// A healthy insulation reading beside a supply voltage that is known from a document.
InputBuilder Car(KnownFrom insulation, KnownFrom supply = KnownFrom::kDocument) {
  InputBuilder car(300);
  car.Scalar("isolation resistance", 1, 1,
             [](double at) { return 2000 + 3 * (static_cast<int>(at) % 5); });
  car.last().unit = "kohm";
  car.last().known_from = insulation;
  car.Scalar("supply voltage", 1, 0.01, [](double) { return 13.8; });
  car.last().unit = "V";
  car.last().known_from = supply;
  return car;
}

CheckResult Insulation(InputBuilder car) {
  return car.Run("insulation", testing::SettingsOf({"pack.working_voltage=400"}));
}

TEST(Guesses, TheFirstSentenceSaysIt) {
  const CheckResult result = Insulation(Car(KnownFrom::kGuess));
  EXPECT_EQ(result.status, CheckStatus::kWithin) << "the status stays";
  EXPECT_THAT(result.FirstSentence(),
              EndsWith(", if the scale of isolation_resistance is right: it is a guess"));
}

TEST(Guesses, WhatIsKnownBetterSaysNothing) {
  for (const KnownFrom known :
       {KnownFrom::kReading, KnownFrom::kMeasurement, KnownFrom::kDocument}) {
    const CheckResult result = Insulation(Car(known));
    EXPECT_EQ(result.FirstSentence(), result.summary) << KnownFromName(known);
  }
  EXPECT_THAT(Insulation(Car(KnownFrom::kSurvey)).FirstSentence(),
              EndsWith("; isolation_resistance is known from a survey"));
}

TEST(Guesses, AllOfThemAreSaidOnce) {
  InputBuilder car = Car(KnownFrom::kGuess, KnownFrom::kGuess);
  const auto results = RunChecks(car.input(), testing::SettingsOf({"pack.working_voltage=400"}));
  EXPECT_EQ(AllGuessesSentence(results),
            "All 2 signals these answers use are guesses: what follows holds only if their "
            "definitions are right.");
  EXPECT_EQ(AnswersWithProviso(results), 0U);
}

TEST(Guesses, TheSignalsBehaveButAreNotProven) {
  InputBuilder car = Car(KnownFrom::kGuess);
  const auto results = RunChecks(car.input(), {});
  const CheckResult* signals = SignalsResult(results);
  ASSERT_NE(signals, nullptr);
  ASSERT_EQ(signals->status, CheckStatus::kWithin) << signals->summary;
  EXPECT_THAT(signals->FirstSentence(),
              EndsWith(", but 1 of them is only a guess or known from a survey"));
}

TEST(Guesses, WhoCannotTellRestsOnNothing) {
  InputBuilder car = Car(KnownFrom::kGuess);
  for (const CheckResult& result : RunChecks(car.input(), {})) {
    if (result.status != CheckStatus::kCannotTell) continue;
    EXPECT_EQ(result.proviso, "") << result.name;
  }
}

TEST(Guesses, WhatAMeasurementSettledIsSettledInTheDefinitions) {
  auto written = std::make_shared<decoders::Definitions>();
  written->signals.resize(2);
  written->signals[0].name = "a";
  written->signals[1].name = "b";
  CheckResult signals;
  signals.name = kSignalsCheck;
  signals.stands_on = {{"a", KnownFrom::kMeasurement, true}, {"b", KnownFrom::kGuess, true}};
  const std::vector<CheckResult> results = {signals};
  const auto settled = SettledBy(results, written);
  EXPECT_EQ(settled->signals[0].known_from, KnownFrom::kMeasurement);
  EXPECT_EQ(settled->signals[1].known_from, KnownFrom::kGuess);
  EXPECT_EQ(written->signals[0].known_from, KnownFrom::kGuess) << "others may be reading them";
  EXPECT_EQ(SettledBy({}, written), written);
}

}  // namespace
}  // namespace proofdrive::analysis
