// Status bytes over operation cycles: the rules of ISO 14229-1 Annex D.2 (looked up in a public
// restatement), the values computed from them by hand.
#include "bench/control_units/fault_memory.h"

#include <gmock/gmock.h>

namespace proofdrive::bench {
namespace {

struct Trace {
  const char* name;
  FaultRule rule;
  // After: clear; cycle 1 passes; fails; cycle 2 begins; fails; cycle 3 begins; passes; ends; 39
  // more clean cycles; clear.
  int expected[10];
};

class FaultMemoryTrace : public ::testing::TestWithParam<Trace> {};

TEST_P(FaultMemoryTrace, FollowsTheStandard) {
  const Trace& trace = GetParam();
  FaultMemory memory(trace.rule);
  auto expect = [&, step = 0](const char* when) mutable {
    EXPECT_EQ(memory.status(), trace.expected[step]) << when;
    ++step;
  };
  memory.Clear();
  expect("clear");
  memory.BeginCycle();
  EXPECT_EQ(memory.status(), 0x50);
  memory.Result(false);
  expect("cycle 1 passes");
  memory.Result(true);
  expect("fails");
  memory.EndCycle();
  memory.BeginCycle();
  expect("cycle 2 begins");
  memory.Result(true);
  expect("fails again");
  memory.EndCycle();
  memory.BeginCycle();
  expect("cycle 3 begins");
  memory.Result(false);
  expect("passes");
  memory.EndCycle();
  expect("cycle 3 ends");
  for (int cycle = 0; cycle < 39; ++cycle) {
    memory.BeginCycle();
    memory.Result(false);
    memory.EndCycle();
  }
  expect("39 more clean cycles");
  memory.Clear();
  expect("clear again");
}

INSTANTIATE_TEST_SUITE_P(
    All, FaultMemoryTrace,
    ::testing::Values(Trace{"ThresholdOne",
                            {1, 40, false},
                            {0x50, 0x00, 0x2F, 0x6D, 0x2F, 0x6D, 0x2C, 0x28, 0x20, 0x50}},
                      Trace{"ThresholdTwo",
                            {2, 40, false},
                            {0x50, 0x00, 0x27, 0x65, 0x2F, 0x6D, 0x2C, 0x28, 0x20, 0x50}},
                      Trace{"ThresholdTwoWithLamp",
                            {2, 40, true},
                            {0x50, 0x00, 0x27, 0x65, 0xAF, 0xED, 0xAC, 0xA8, 0xA0, 0x50}}),
    [](const auto& trace) { return std::string(trace.param.name); });

TEST(FaultMemoryTest, ACycleWithoutATestChangesNothing) {
  FaultMemory memory({2, 40, false});
  memory.Clear();
  memory.BeginCycle();
  memory.Result(true);
  memory.EndCycle();
  memory.BeginCycle();
  memory.EndCycle();
  EXPECT_EQ(memory.status(), 0x65) << "still pending";
  memory.BeginCycle();
  memory.Result(true);
  EXPECT_EQ(memory.status(), 0x2F) << "the second tested cycle with a failure confirms";
  EXPECT_EQ(memory.occurrences(), 2);
}

TEST(FaultMemoryTest, ACleanCycleBetweenFailuresStartsTheCountAgain) {
  FaultMemory memory({2, 40, false});
  memory.Clear();
  for (const bool failed : {true, false, true}) {
    memory.BeginCycle();
    memory.Result(failed);
    memory.EndCycle();
  }
  EXPECT_EQ(memory.status() & 0x08, 0);
}

}  // namespace
}  // namespace proofdrive::bench
