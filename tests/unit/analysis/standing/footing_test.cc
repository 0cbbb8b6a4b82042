// The words an answer on a guess carries.
#include "analysis/standing/footing.h"

#include <gtest/gtest.h>

#include "decoders/language/loader.h"

namespace proofdrive::analysis {
namespace {

using decoders::KnownFrom;

Footing Number(const std::string& name, KnownFrom known_from = KnownFrom::kGuess) {
  return {name, known_from, true};
}

TEST(Footing, OneGuess) {
  const std::vector<Footing> list = {Number("isolation_resistance"),
                                     Number("pack_voltage", KnownFrom::kDocument)};
  EXPECT_EQ(ProvisoOf(list), ", if the scale of isolation_resistance is right: it is a guess");
  EXPECT_TRUE(AnyGuess(list));
}

TEST(Footing, StatesHaveNoScale) {
  const std::vector<Footing> list = {{"latch", KnownFrom::kGuess, false}, Number("a")};
  EXPECT_EQ(ProvisoOf(list), ", if the definitions of latch and a are right: they are guesses");
}

TEST(Footing, ManyStayOneSentence) {
  const std::vector<Footing> four = {Number("a"), Number("b"), Number("c"), Number("d")};
  EXPECT_EQ(ProvisoOf(four), ", if the scales of a, b, c and d are right: they are guesses");
  const std::vector<Footing> five = {Number("a"), Number("b"), Number("c"), Number("d"),
                                     Number("e")};
  EXPECT_EQ(ProvisoOf(five), ", if the scales of a, b, c and 2 more are right: they are guesses");
}

TEST(Footing, ASurveyIsSaidShorterAndTheRestNotAtAll) {
  const std::vector<Footing> list = {Number("a", KnownFrom::kSurvey)};
  EXPECT_EQ(ProvisoOf(list), "; a is known from a survey");
  EXPECT_FALSE(AnyGuess(list));
  const std::vector<Footing> both = {Number("a"), Number("b", KnownFrom::kSurvey)};
  EXPECT_EQ(ProvisoOf(both),
            ", if the scale of a is right: it is a guess; b is known from a survey");
  const std::vector<Footing> known = {Number("a", KnownFrom::kReading),
                                      Number("b", KnownFrom::kMeasurement),
                                      Number("c", KnownFrom::kDocument)};
  EXPECT_EQ(ProvisoOf(known), "");
}

TEST(Footing, AllGuessesAreSaidOnceWithTheirNumber) {
  CommonFooting common;
  EXPECT_EQ(common.Sentence("signals", "answers"), "");
  const std::vector<Footing> one = {Number("a")};
  common.Add(one);
  EXPECT_FALSE(common.IsAllGuesses()) << "one is named with its answer";
  const std::vector<Footing> two = {Number("a"), Number("b")};
  common.Add(two);
  EXPECT_EQ(common.Sentence("signals", "answers"),
            "All 2 signals these answers use are guesses: what follows holds only if their "
            "definitions are right.");
  const std::vector<Footing> known = {Number("c", KnownFrom::kSurvey)};
  common.Add(known);
  EXPECT_EQ(common.Sentence("signals", "answers"), "");
}

TEST(Footing, AWarningStandsOnItselfAndTheSignalsOfAllItsConditions) {
  const std::vector<decoders::SourceText> sources = {{"car.yaml", R"yaml(
known from: document
frames:
  f:
    id: 1
    signals:
      level: {where: byte 0, states: {0: ok, 1: low}, known from: guess}
      pump: {where: byte 1, known from: survey}
      key: {where: byte 2}
      other: {where: byte 3, known from: guess}
warnings:
  low:
    text: Low
    when: level == low
    only while: key == 1
    severity: stop
    proven by: {condition: pump > 3}
)yaml"}};
  const auto loaded = decoders::LoadDefinitions(sources);
  ASSERT_TRUE(loaded.ok());
  const auto list = FootingOf(*loaded.definitions, loaded.definitions->warnings[0]);
  EXPECT_EQ(list.size(), 4U);
  EXPECT_EQ(ProvisoOf(list),
            ", if the definition of level is right: it is a guess; pump is known from a survey");
}

}  // namespace
}  // namespace proofdrive::analysis
