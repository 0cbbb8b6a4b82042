#include "analysis/compare/signals.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

namespace proofdrive::analysis {
namespace {

// A session of one temperature-like signal and the pack current, one value per window.
class Pair {
 public:
  Pair() {
    definitions_ = std::make_shared<decoders::Definitions>();
    definitions_->signals.resize(2);
    definitions_->signals[0].name = "rise";
    definitions_->signals[0].unit = "K";
    definitions_->signals[1].name = "current";
    definitions_->signals[1].unit = "A";
    definitions_->signals[1].role = "pack current";
    for (SessionFindings* one : {&before, &after}) {
      one->definitions = definitions_;
      one->windows.resize(2);
      one->signals.resize(2);
    }
  }

  static void Add(SessionFindings& session, double rise, double current) {
    const double values[] = {rise, current};
    for (std::size_t i = 0; i < 2; ++i) {
      session.windows[i].push_back(static_cast<float>(values[i]));
      SignalRecord& record = session.signals[i];
      ++record.values;
      record.lowest.value = std::min(record.lowest.value, values[i]);
      record.highest.value = std::max(record.highest.value, values[i]);
    }
  }

  SignalComparison Rise() const { return CompareSignals(before, after).at(0); }

  SessionFindings before, after;

 private:
  std::shared_ptr<decoders::Definitions> definitions_;
};

double Noise() {
  static std::mt19937_64 generator(7);
  return std::normal_distribution<double>(0, 0.1)(generator);
}

// After is driven harder: the plain means differ by a kelvin, at equal current nothing differs.
TEST(CompareSignals, DrivenHarderIsNoChange) {
  Pair pair;
  for (int i = 0; i < 300; ++i) {
    const double a = 100.0 * (i % 3), b = 100.0 * ((i % 4 + 2) / 2 % 3);
    Pair::Add(pair.before, 0.01 * a + Noise(), a);
    Pair::Add(pair.after, 0.01 * b + Noise(), b);
  }
  const SignalComparison rise = pair.Rise();
  EXPECT_EQ(rise.change, SignalChange::kSame) << rise.why;
  EXPECT_NEAR(rise.difference, 0, 0.05);
  EXPECT_LT(rise.low, 0);
  EXPECT_GT(rise.high, 0);
}

TEST(CompareSignals, ChangeAtEqualOperatingPointsIsFound) {
  Pair pair;
  for (int i = 0; i < 300; ++i) {
    const double a = 100.0 * (i % 3), b = 100.0 * ((i % 4 + 2) / 2 % 3);
    Pair::Add(pair.before, 0.01 * a + Noise(), a);
    Pair::Add(pair.after, 0.01 * b + 0.3 + Noise(), b);
  }
  const SignalComparison rise = pair.Rise();
  EXPECT_EQ(rise.change, SignalChange::kChanged) << rise.why;
  EXPECT_NEAR(rise.difference, 0.3, 0.03);
  EXPECT_LT(rise.low, 0.3);
  EXPECT_GT(rise.high, 0.3);
  EXPECT_GT(rise.effect, 0.474);
}

TEST(CompareSignals, DifferentDrivesAreNotComparable) {
  Pair pair;
  for (int i = 0; i < 100; ++i) {
    Pair::Add(pair.before, 1, 0);
    Pair::Add(pair.after, 2 + Noise(), i < 90 ? 200 : 0);
  }
  EXPECT_EQ(pair.Rise().change, SignalChange::kNotComparable);
}

// 200 windows that drift slowly are worth a handful.
TEST(CompareSignals, SlowDriftIsTooFew) {
  Pair pair;
  for (int i = 0; i < 200; ++i) {
    Pair::Add(pair.before, i * 0.01, 0);
    Pair::Add(pair.after, i * 0.01 + 0.5, 0);
  }
  const SignalComparison rise = pair.Rise();
  EXPECT_EQ(rise.change, SignalChange::kTooFew) << rise.why;
  EXPECT_LT(rise.independent_before, 8);
}

// 62 A and 63 A lay in different bands of 25 A, and nothing could be compared.
TEST(CompareSignals, NearOperatingPointsAreComparedWhereverTheyLie) {
  Pair pair;
  for (int i = 0; i < 300; ++i) {
    Pair::Add(pair.before, 1 + Noise(), 62);
    Pair::Add(pair.after, 3 + Noise(), 63);
  }
  const SignalComparison rise = pair.Rise();
  EXPECT_EQ(rise.change, SignalChange::kChanged) << rise.why;
  EXPECT_NEAR(rise.overlap, 1, 1e-9);
  EXPECT_NEAR(rise.difference, 2, 0.05);
}

TEST(CompareSignals, ChangedConstantIsAChange) {
  Pair pair;
  for (int i = 0; i < 4; ++i) {
    Pair::Add(pair.before, 104, 0);
    Pair::Add(pair.after, 105, 200);
  }
  const SignalComparison version = pair.Rise();
  EXPECT_EQ(version.change, SignalChange::kChanged);
  EXPECT_TRUE(version.constant);
  EXPECT_EQ(version.why, "always 104 K before, always 105 K after");
}

TEST(CompareSignals, TwoValuesAreNoConstant) {
  Pair pair;
  for (int i = 0; i < 2; ++i) {
    Pair::Add(pair.before, 104, 0);
    Pair::Add(pair.after, 105, 0);
  }
  EXPECT_EQ(pair.Rise().change, SignalChange::kTooFew);
}

TEST(CompareSignals, WhatItSaysMostOfTheTimeIsToldWhateverTheCarDid) {
  Pair pair;
  for (int i = 0; i <= 10; ++i) {
    Pair::Add(pair.before, i, 0);
    Pair::Add(pair.after, 2 * i, 200);
  }
  const SignalComparison rise = pair.Rise();
  EXPECT_EQ(rise.change, SignalChange::kNotComparable);
  ASSERT_TRUE(rise.before && rise.after);
  EXPECT_EQ(rise.before->middle, 5);
  EXPECT_EQ(rise.before->low, 1);
  EXPECT_EQ(rise.after->high, 18);
}

// A version that is sent as characters.
class Texts {
 public:
  Texts() {
    auto definitions = std::make_shared<decoders::Definitions>();
    definitions->signals.resize(1);
    definitions->signals[0].encoding = decoders::Encoding::kText;
    for (SessionFindings* one : {&before, &after}) {
      one->definitions = definitions;
      one->windows.resize(1);
      one->signals.resize(1);
      one->signals[0].values = 5;
      one->texts.resize(1);
    }
    before.texts[0].texts = {"1.4"};
    after.texts[0].texts = {"1.5"};
  }
  SignalComparison Compare() const { return CompareSignals(before, after).at(0); }
  SessionFindings before, after;
};

TEST(CompareSignals, TextsAreCompared) {
  Texts texts;
  EXPECT_EQ(texts.Compare().change, SignalChange::kChanged);
  EXPECT_EQ(texts.Compare().why, "always \"1.4\" before, always \"1.5\" after");
  texts.after.texts[0].changes = true;
  EXPECT_EQ(texts.Compare().why, "a text that changes within a session");
  texts.after.texts[0] = texts.before.texts[0];
  EXPECT_EQ(texts.Compare().why, "the same text in both");
  texts.after.texts.clear();
  EXPECT_EQ(texts.Compare().why, "a text that was not read");
}

TEST(CompareSignals, TooFewButApartIsSaid) {
  Pair pair;
  for (int i = 0; i < 40; ++i) {
    Pair::Add(pair.before, i * 0.01, 0);
    Pair::Add(pair.after, i * 0.01 + 5, 0);
  }
  const SignalComparison rise = pair.Rise();
  EXPECT_EQ(rise.change, SignalChange::kTooFew);
  EXPECT_TRUE(rise.why.starts_with("every value after is higher, but too few")) << rise.why;
}

TEST(CompareSignals, ReceivedOnOneSideOnly) {
  Pair pair;
  Pair::Add(pair.before, 1, 0);
  Pair::Add(pair.after, 1, 0);
  pair.after.signals[0].values = 0;
  EXPECT_EQ(pair.Rise().change, SignalChange::kOneSided);
  EXPECT_EQ(pair.Rise().why, "received only before");
}

}  // namespace
}  // namespace proofdrive::analysis
