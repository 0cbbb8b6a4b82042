// Each fault changes what is sent, and more so the larger it is.
#include "tests/fleet/faults/fault_table.h"

#include <gmock/gmock.h>

#include <set>

#include "analysis/checks/checks.h"
#include "tests/fleet/car/draw_car.h"
#include "tests/fleet/sensors/sent.h"

namespace proofdrive::fleet {
namespace {

// Signals of which a value, a time or what is said about them differs.
std::set<std::string> Differing(const Car& one, const Car& two) {
  const Sent a = Send(one, Live(one));
  const Sent b = Send(two, Live(two));
  std::set<std::string> roles;
  for (std::size_t i = 0; i < a.signals.size(); ++i) {
    const SentSignal &x = a.signals[i], &y = b.signals[i];
    bool same = x.positive == y.positive && x.sensor.step == y.sensor.step &&
                x.sensor.said_scale == y.sensor.said_scale &&
                x.sensor.said_offset == y.sensor.said_offset;
    for (std::size_t j = 0; j < x.elements.size(); ++j) {
      same = same && x.elements[j].value == y.elements[j].value;
    }
    if (!same) roles.insert(x.role);
  }
  return roles;
}

Car Complete(const FaultRow& row) {
  for (std::uint64_t seed = 1;; ++seed) {
    Car car = DrawCar(seed);
    const bool complete = car.all_roles && car.sensors.missing_pages.empty();
    if (complete && (row.possible == nullptr || row.possible(car))) return car;
  }
}

class Faults : public ::testing::TestWithParam<FaultRow> {};

TEST_P(Faults, ShowInWhatIsSent) {
  const FaultRow& row = GetParam();
  const Car healthy = Complete(row);
  Car large = healthy;
  row.make(large, row.sizes.back());
  EXPECT_FALSE(Differing(healthy, large).empty());
  Car small = healthy;
  row.make(small, row.sizes.front());
  EXPECT_FALSE(Differing(small, large).empty());
}

TEST_P(Faults, BelongToACheck) {
  std::set<std::string_view> names = {"signals", "definitions"};
  for (const analysis::CheckRow& row : analysis::AllChecks()) names.insert(row.name);
  EXPECT_TRUE(names.contains(GetParam().check)) << GetParam().check;
  EXPECT_TRUE(std::is_sorted(GetParam().sizes.begin(), GetParam().sizes.end()) ||
              std::is_sorted(GetParam().sizes.rbegin(), GetParam().sizes.rend()));
}

INSTANTIATE_TEST_SUITE_P(Table, Faults, ::testing::ValuesIn(AllFaults().begin(), AllFaults().end()),
                         [](const auto& row) {
                           std::string name(row.param.name);
                           std::replace(name.begin(), name.end(), '-', '_');
                           return name;
                         });

TEST(FaultTable, HasAFaultForEveryCheck) {
  std::set<std::string_view> with_fault;
  for (const FaultRow& row : AllFaults()) with_fault.insert(row.check);
  for (const analysis::CheckRow& row : analysis::AllChecks()) {
    EXPECT_TRUE(with_fault.contains(row.name)) << row.name;
  }
}

}  // namespace
}  // namespace proofdrive::fleet
