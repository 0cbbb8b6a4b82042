// A state that is not understood must never be good news.
#include "analysis/checking/states.h"

#include <gmock/gmock.h>

#include "tests/unit/analysis/checks/input_builder.h"

namespace proofdrive::analysis {
namespace {

using ::testing::Contains;
using testing::Formula;
using ::testing::HasSubstr;
using testing::InputBuilder;

Formula Always(double value) {
  return [value](double) { return value; };
}

// The loop is closed all the time; only the latch differs.
InputBuilder Car(const std::vector<std::string>& latch, const Formula& value) {
  InputBuilder input(100);
  input.States("crash latch", latch, 0.1, value)
      .States("interlock", {"loop_unbroken", "not_closed"}, 0.1, Always(0));
  return input;
}

TEST(States, AnyNameOfAStoredCrashIsOutside) {
  for (const char* name : {"set", "deployed", "triggered", "crash", "Crash_erkannt"}) {
    EXPECT_EQ(Car({"clear", name}, Always(1)).Run("interlock").status, CheckStatus::kOutside)
        << name;
  }
}

TEST(States, ANegationIsNoCrash) {
  for (const char* name : {"not_set", "no_crash", "nicht_ausgeloest", "not_triggered"}) {
    EXPECT_EQ(Car({name, "set"}, Always(0)).Run("interlock").status, CheckStatus::kWithin) << name;
  }
}

TEST(States, NotClosedIsOpen) {
  InputBuilder input(100);
  input.States("interlock", {"closed", "not_closed"}, 0.1, Always(1));
  EXPECT_EQ(input.Run("interlock").status, CheckStatus::kOutside);
}

TEST(States, WhatIsNotUnderstoodCannotBeToldAndSaysTheLine) {
  const CheckResult result = Car({"clear", "e7"}, Always(1)).Run("interlock");
  EXPECT_EQ(result.status, CheckStatus::kCannotTell);
  EXPECT_EQ(result.summary,
            "crash_latch has the state \"e7\", which is not understood: write in its definition "
            "states: {1: {name: e7, means: ...}} with set, clear or unknown");
  EXPECT_THAT(result.findings, Contains("the interlock loop was closed all the time"));
  EXPECT_THAT(result.missing, Contains(HasSubstr("means: ...}} with set, clear or unknown")));
}

TEST(States, AStateThatIsNeverReceivedDoesNotMatter) {
  EXPECT_EQ(Car({"clear", "e7"}, Always(0)).Run("interlock").status, CheckStatus::kWithin);
}

TEST(States, AValueWithoutANameIsNotUnderstood) {
  const CheckResult result = Car({"clear", "set"}, Always(5)).Run("interlock");
  EXPECT_EQ(result.status, CheckStatus::kCannotTell);
  EXPECT_THAT(result.summary, HasSubstr("has the value 5, which has no name: write in its "
                                        "definition states: {5: {name: ..., means: ...}}"));
}

TEST(States, WithoutAnyStatesNothingIsUnderstood) {
  EXPECT_EQ(Car({}, Always(0)).Run("interlock").status, CheckStatus::kCannotTell);
}

TEST(States, BadNewsStay) {
  InputBuilder input(100);
  input.States("crash latch", {"e0"}, 0.1, Always(0))
      .States("interlock", {"closed", "open"}, 0.1, Always(1));
  EXPECT_EQ(input.Run("interlock").status, CheckStatus::kOutside);
}

TEST(States, WhatTheFileSaysCounts) {
  InputBuilder input = Car({"clear", "e7"}, Always(1));
  input.input().signals[0].states[1].means = decoders::Meaning::kSet;
  EXPECT_EQ(input.Run("interlock").status, CheckStatus::kOutside);
}

TEST(States, ValuesThatSayNothingAreNotUsed) {
  RoleSignal signal;
  signal.role = "crash latch";
  signal.states = {{0, 0, "init"}, {1, 1, "clear"}};
  signal.elements.resize(1);
  for (int i = 0; i < 10; ++i) signal.elements[0].Add(i, i < 3 ? 0 : 1);
  EXPECT_EQ(UnderstandStates(signal), "");
  EXPECT_EQ(signal.track().size(), 7U);
}

TEST(States, NumbersMayStandWhereTheRoleAllowsThem) {
  RoleSignal signal;
  signal.role = "coolant pump";
  signal.elements.resize(1);
  signal.elements[0].Add(0, 1234);
  EXPECT_EQ(UnderstandStates(signal), "");
}

}  // namespace
}  // namespace proofdrive::analysis
