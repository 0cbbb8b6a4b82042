// A recording of hours that is judged stretch by stretch loses no alarm that judging it at once
// gives, and makes none up; what cannot be told does not become "within limits". Of some cars one
// drive alone looks worse than several together; the program "stretched" counts how many.
#include <gmock/gmock.h>

#include "tests/fleet/car/draw_car.h"
#include "tests/fleet/faults/fault_table.h"
#include "tests/stretched/both_ways.h"

namespace proofdrive::fleet {
namespace {

using analysis::CheckStatus;

struct Case {
  const char* fault;
  std::uint64_t seed;  // from which on a car that can have it is drawn
};
void PrintTo(const Case& one, std::ostream* out) { *out << one.fault; }

constexpr double kShare = 0.3;

Car CarWith(const Case& one) {
  const FaultRow* row = FindFault(one.fault);
  std::uint64_t seed = one.seed;
  Car car = DrawCar(seed);
  while (!car.all_roles || (row != nullptr && row->possible != nullptr && !row->possible(car))) {
    car = DrawCar(++seed);
  }
  if (row != nullptr) row->make(car, row->sizes[row->named]);
  return DrivenMore(std::move(car), 2);
}

void ExpectTheSame(const BothWays& both) {
  EXPECT_GE(both.stretches, 3U);
  for (const TwoAnswers& one : both.answers) {
    EXPECT_TRUE(one.difference == Difference::kNone || one.difference == Difference::kWithdrawn)
        << one.check << "\n  at once: " << one.at_once.summary
        << "\n  stretched: " << one.stretched.summary;
  }
}

const TwoAnswers& Of(const BothWays& both, std::string_view check) {
  for (const TwoAnswers& one : both.answers) {
    if (one.check == check) return one;
  }
  ADD_FAILURE() << "no " << check;
  return both.answers.front();
}

class Stretched : public ::testing::TestWithParam<Case> {};

TEST_P(Stretched, LosesNoAlarmAndMakesNoneUp) {
  const Car car = CarWith(GetParam());
  const BothWays both = JudgeBothWays(Send(car, Live(car)), car.facts, kShare);
  ExpectTheSame(both);
  const FaultRow* row = FindFault(GetParam().fault);
  if (row == nullptr) return;
  EXPECT_NE(Of(both, row->check).stretched.status, CheckStatus::kWithin);
}

INSTANTIATE_TEST_SUITE_P(Faults, Stretched,
                         ::testing::Values(Case{"healthy", 11}, Case{"balance-low-cell", 21},
                                           Case{"resistance-cell", 31},
                                           Case{"insulation-falls", 41},
                                           Case{"cooling-self-heating", 51},
                                           Case{"standby-load", 64}, Case{"capacity-lost", 71},
                                           Case{"supply-converter", 81},
                                           Case{"interlock-open", 91}));

// The inlet stands still: frozen as a whole, in a stretch perhaps not.
TEST(StretchedSignals, AStuckInletIsNoReasonForGoodNews) {
  const Car car = CarWith({"healthy", 101});
  Sent sent = Send(car, Live(car));
  for (SentSignal& signal : sent.signals) {
    if (signal.role != "coolant inlet temperature") continue;
    SentTrack& track = signal.elements.front();
    std::fill(track.value.begin(), track.value.end(), track.value.front());
  }
  const BothWays both = JudgeBothWays(std::move(sent), car.facts, kShare);
  ExpectTheSame(both);
  EXPECT_EQ(Of(both, "signals").stretched.status, Of(both, "signals").at_once.status);
}

}  // namespace
}  // namespace proofdrive::fleet
