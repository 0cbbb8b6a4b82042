#include "analysis/stretches/thinned_input.h"

#include <gmock/gmock.h>

#include <cmath>

#include "analysis/physics/charge_count.h"

namespace proofdrive::analysis {
namespace {

constexpr int kHours = 60;
constexpr int kPerSecond = 10;

RoleSignal Signal(const std::string& role, bool states = false) {
  RoleSignal signal;
  signal.role = role;
  signal.name = role;
  signal.elements.resize(1);
  if (states) signal.states = {{0, 0, "off", {}}, {1, 1, "on", {}}};
  return signal;
}

// Ten values a second of f(t) for hours, as they come: some thousand at once.
template <class F>
void Fill(ThinnedInput& input, std::size_t signal, F value) {
  RolePart part;
  part.signal = signal;
  for (int i = 0; i < kHours * 3600 * kPerSecond; ++i) {
    const double at = static_cast<double>(i) / kPerSecond;
    part.time_s.push_back(at);
    part.value.push_back(value(at));
    if (part.value.size() < 3000) continue;
    part.end_s = at;
    input.Add(part);
    part.time_s.clear();
    part.value.clear();
  }
}

TEST(ThinnedInput, IsBoundedAndKeepsTheCourse) {
  ThinnedInput input({Signal("state of charge")});
  Fill(input, 0, [](double at) { return 90 - at / 3600; });
  EXPECT_EQ(input.seen(), 1ULL * kHours * 3600 * kPerSecond);
  EXPECT_LT(input.kept(), 10'000U);
  const CheckInput whole = input.Take();
  EXPECT_EQ(whole.part, CheckInput::Part::kThinned);
  const Track& track = whole.signals[0].elements[0];
  EXPECT_GT(track.size(), 3'500U);
  EXPECT_NEAR(track.time_s.back(), kHours * 3600, 350) << "the last that came";
  for (std::size_t i = 1; i < track.size(); ++i) {
    EXPECT_DOUBLE_EQ(track.value[i], 90 - track.time_s[i] / 3600) << "a value as it was sent";
    EXPECT_LT(track.time_s[i] - track.time_s[i - 1], 60);
  }
}

TEST(ThinnedInput, ChargeAddsUp) {
  ThinnedInput input({Signal("pack current")});
  double sum = 0;
  const auto amps = [](double at) {
    return 20 + 80 * std::sin(at * 3.1) + (at > 90'000 ? -50 : 0);
  };
  Fill(input, 0, [&](double at) {
    sum += amps(at) / kPerSecond;
    return amps(at);
  });
  const CheckInput whole = input.Take();
  const Track& track = whole.signals[0].elements[0];
  EXPECT_LT(track.size(), 300'000U);
  EXPECT_NEAR(Trapezoid(track.time_s, track.value) / sum, 1, 0.001);
  for (std::size_t i = 1; i < track.size(); ++i) {
    ASSERT_LE(track.time_s[i] - track.time_s[i - 1], 2.0) << "the most that counts as no gap";
  }
}

// As after a night: no mean is one of the evening and the morning.
TEST(ThinnedInput, MeansDoNotReachOverASilence) {
  ThinnedInput input({Signal("pack current")});
  for (const double from : {0.0, 100'000.0}) {
    RolePart part;
    for (int i = 0; i < 200'001; ++i) {
      part.time_s.push_back(from + i * 0.1);
      part.value.push_back(from == 0 ? 100 : 1);
    }
    input.Add(part);
  }
  const CheckInput whole = input.Take();
  for (const double value : whole.signals[0].elements[0].value) {
    EXPECT_TRUE(value == 100 || value == 1) << value;
  }
}

TEST(ThinnedInput, EveryChangeOfAStateIsKept) {
  ThinnedInput input({Signal("contactor state", true)});
  const auto state = [](double at) { return std::fmod(at, 1000) < 0.3 ? 1.0 : 0.0; };
  Fill(input, 0, state);
  const CheckInput whole = input.Take();
  const Track& track = whole.signals[0].elements[0];
  EXPECT_LT(track.size(), 20'000U);
  const std::vector<double> changes = Changes(track);
  EXPECT_EQ(changes.size(), 2 * kHours * 3600 / 1000U - 1) << "it begins with one";
  for (const double at : changes) {
    const double in = std::fmod(at + 0.05, 1000);
    EXPECT_TRUE(in < 0.1 || (in > 0.3 && in < 0.5)) << at;
  }
}

// A network that sleeps: what it said last and first thereafter is what a pause is judged by.
TEST(ThinnedInput, ValuesAroundASilenceAreKept) {
  ThinnedInput input({Signal("state of charge")});
  double at = 0, value = 0;
  std::vector<double> around;
  for (int night = 0; night < 40; ++night) {
    RolePart part;
    around.push_back(at);
    for (int i = 0; i < 9973; ++i) {
      part.time_s.push_back(at);
      part.value.push_back(value++);
      at += 0.1;
    }
    around.push_back(part.time_s.back());
    part.end_s = at;
    input.Add(part);
    at += 20'000;
  }
  const CheckInput whole = input.Take();
  const Track& track = whole.signals[0].elements[0];
  EXPECT_LT(track.size(), 8'300U);
  for (const double edge : around) EXPECT_THAT(track.time_s, ::testing::Contains(edge));
}

TEST(ThinnedInput, AStateThatChangesAllTheTimeIsGivenUp) {
  ThinnedInput input({Signal("contactor state", true)});
  Fill(input, 0, [](double at) { return std::fmod(at + 0.05, 0.2) < 0.1 ? 1.0 : 0.0; });
  EXPECT_LT(input.kept(), 70'000U);
  const CheckInput whole = input.Take();
  EXPECT_TRUE(whole.signals[0].not_understood) << "no check may say that it is within limits";
  EXPECT_FALSE(whole.signals[0].unusable.empty());
}

// Longer than the means of two seconds that the current is kept as.
TEST(ThinnedInput, TheCurrentIsBoundedForWeeks) {
  ThinnedInput input({Signal("pack current")});
  RolePart part;
  for (int i = 0; i < 3'000'000; ++i) {
    part.time_s.push_back(i * 1.5);
    part.value.push_back(i % 7);
    if (part.value.size() < 3000) continue;
    part.end_s = i * 1.5;
    input.Add(part);
    part.time_s.clear();
    part.value.clear();
  }
  EXPECT_LT(input.kept(), 280'000U);
  const CheckInput whole = input.Take();
  const Track& track = whole.signals[0].elements[0];
  EXPECT_NEAR(Trapezoid(track.time_s, track.value) / (3'000'000 * 1.5), 3, 0.01);
}

}  // namespace
}  // namespace proofdrive::analysis
