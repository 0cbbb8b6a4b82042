// The short way into the checks gives what the whole way gives: session, definition file, reading.
#include "tests/fleet/write/session_files.h"

#include <gmock/gmock.h>

#include "analysis/checks/checks.h"
#include "analysis/session/definition_set.h"
#include "session/reader.h"
#include "tests/fleet/car/draw_car.h"
#include "tests/fleet/measure/check_input.h"
#include "tests/support/matchers.h"
#include "tests/support/memory_files.h"

namespace proofdrive::fleet {
namespace {

using analysis::CheckInput;
using analysis::RoleSignal;

// A state that stays is thinned, and whether a value a tenth of a second later still counts hangs
// on the last microsecond: its changes are what matters.
analysis::Track ChangesOf(const analysis::Track& track) {
  analysis::Track changes;
  for (std::size_t i = 0; i < track.size(); ++i) {
    if (i == 0 || track.value[i] != track.value[i - 1])
      changes.Add(track.time_s[i], track.value[i]);
  }
  return changes;
}

class WholeWay : public ::testing::TestWithParam<std::uint64_t> {};

void ExpectSame(const RoleSignal& whole, const RoleSignal& direct) {
  SCOPED_TRACE(direct.role);
  EXPECT_EQ(whole.unit, direct.unit);
  EXPECT_TRUE(whole.unit_fits);
  EXPECT_EQ(whole.positive, direct.positive);
  EXPECT_EQ(whole.is_series, direct.is_series);
  EXPECT_NEAR(whole.step, direct.step, 1e-9);
  EXPECT_NEAR(whole.range_low, direct.range_low, 1e-6);
  ASSERT_EQ(whole.elements.size(), direct.elements.size());
  ASSERT_EQ(whole.states.size(), direct.states.size());
  for (std::size_t i = 0; i < whole.states.size(); ++i) {
    EXPECT_EQ(whole.states[i].name, direct.states[i].name);
  }
  for (std::size_t i = 0; i < whole.elements.size(); ++i) {
    const bool states = !whole.states.empty();
    const analysis::Track a = states ? ChangesOf(whole.elements[i]) : whole.elements[i];
    const analysis::Track b = states ? ChangesOf(direct.elements[i]) : direct.elements[i];
    ASSERT_EQ(a.size(), b.size()) << i;
    for (std::size_t j = 0; j < a.size(); ++j) {
      ASSERT_NEAR(a.time_s[j] - a.time_s[0], b.time_s[j] - b.time_s[0], 2e-6);
      ASSERT_NEAR(a.value[j], b.value[j], 1e-6);
    }
  }
}

TEST_P(WholeWay, GivesTheSameSignals) {
  const Car car = DrawCar(GetParam());
  testing::MemoryFiles files;
  ASSERT_THAT(WriteCar(files, "/cars", car), testing::IsOk());
  const std::string base = "/cars/car-" + std::to_string(car.seed);
  auto reader = session::Reader::Open(files, base + ".session");
  ASSERT_THAT(reader, testing::IsOk());
  const std::vector<std::string> given = {base + ".yaml"};
  const auto set = analysis::DefinitionsFor(files, given, (*reader)->header());
  ASSERT_NE(set.definitions, nullptr) << set.diagnostics.front().message;
  const auto whole = analysis::ReadCheckInput(**reader, set);
  ASSERT_THAT(whole, testing::IsOk());
  const CheckInput direct = InputOf(Send(car, Live(car)));
  ASSERT_EQ(whole->signals.size(), direct.signals.size());
  for (std::size_t i = 0; i < direct.signals.size(); ++i) {
    ExpectSame(whole->signals[i], direct.signals[i]);
  }
}

INSTANTIATE_TEST_SUITE_P(Seeds, WholeWay, ::testing::Range<std::uint64_t>(1, 9));

}  // namespace
}  // namespace proofdrive::fleet
