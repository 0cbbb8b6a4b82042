#include "analysis/compare/condition_terms.h"

#include <gtest/gtest.h>

namespace proofdrive::analysis {
namespace {

bool Contains(const char* strong, const char* weak) {
  return Implies(TermsOf(strong), TermsOf(weak));
}

TEST(TermsOf, TakesApartWhatAndJoins) {
  const std::vector<Term> terms = TermsOf("pump == high and\n  max(cell) > 5.5");
  ASSERT_EQ(terms.size(), 2U);
  EXPECT_EQ(terms[0], (Term{"pump", "==", "high"}));
  EXPECT_EQ(terms[1], (Term{"max(cell)", ">", "5.5"}));
  EXPECT_EQ(*terms[1].Number(), 5.5);
  EXPECT_FALSE(terms[0].Number());
}

TEST(TermsOf, WhatItCannotTakeApartStaysWhole) {
  EXPECT_EQ(TermsOf("a == 1 or b == 2").size(), 1U);
  EXPECT_EQ(TermsOf("not a == 1").size(), 1U);
  EXPECT_EQ(TermsOf("abs(a == 1 and b == 2)").size(), 1U);
  EXPECT_EQ(TermsOf("(a == 1) and (b == 2)").size(), 2U);
}

TEST(Implies, EqualAndStricterTerms) {
  EXPECT_TRUE(Contains("pump == high and speed > 5", "pump == high"));
  EXPECT_FALSE(Contains("pump == high", "pump == high and speed > 5"));
  EXPECT_TRUE(Contains("speed > 50", "speed > 5"));
  EXPECT_FALSE(Contains("speed > 5", "speed > 50"));
  EXPECT_TRUE(Contains("speed < 3", "speed <= 3"));
  EXPECT_FALSE(Contains("speed >= 3", "speed > 3"));
  EXPECT_TRUE(Contains("speed >= 4", "speed > 3"));
  EXPECT_FALSE(Contains("speed > 5", "other > 5"));
  EXPECT_FALSE(Contains("speed > 5", "speed < 50"));
}

TEST(Implies, OneOfSeveralAlternatives) {
  EXPECT_TRUE(Contains("pump == high", "pump == low or pump == high"));
  EXPECT_FALSE(Contains("pump == low or pump == high", "pump == high"));
  EXPECT_FALSE(Contains("pump == high", "pump == low or pump == high and speed > 5"));
}

TEST(InWords, SaysUnitsAndComparisons) {
  decoders::Definitions car;
  car.signals.resize(1);
  car.signals[0].name = "vehicle_speed";
  car.signals[0].unit = "km/h";
  const auto words = [&](const char* text) { return InWords(TermsOf(text), car); };
  EXPECT_EQ(words("coolant_pump == high and vehicle_speed >= 5"),
            "coolant pump is high and vehicle speed is at least 5 km/h");
  EXPECT_EQ(words("max(vehicle_speed) < 5"), "max(vehicle speed) is below 5 km/h");
  EXPECT_EQ(words("pump == low or pump != off"), "pump is low or pump is not off");
  EXPECT_EQ(words("not pump == low"), "\"not pump == low\" holds");
}

}  // namespace
}  // namespace proofdrive::analysis
