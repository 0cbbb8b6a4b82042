// A part of the fleet in every full run: the bars of docs/fleet.md, broken only beyond chance.
#include <gmock/gmock.h>

#include <cstdio>

#include "tests/fleet/measure/tables.h"
#include "tests/fleet_bars/bars.h"

namespace proofdrive::fleet {
namespace {

using analysis::CheckStatus;

constexpr std::size_t kHealthyCars = 150;
constexpr std::size_t kFaultCars = 4;   // of each fault, at the size from which it is found
constexpr std::uint64_t kApart = 1000;  // between the seeds of two days

Plan PlanOfTheDay() {
  Plan plan;
  plan.cars = kHealthyCars;
  plan.fault_cars = kFaultCars;
  plan.seed = kApart * SeedOfTheRun();
  plan.threads = 1;
  plan.named_only = true;
  return plan;
}

void ExpectKept(const std::string& broken) { EXPECT_TRUE(broken.empty()) << broken; }

std::size_t Of(const Counts& counts, CheckStatus status) {
  return counts[static_cast<std::size_t>(status)];
}

std::size_t Sum(const Counts& counts) { return counts[0] + counts[1] + counts[2] + counts[3]; }

TEST(HealthyCars, KeepTheBars) {
  const Plan plan = PlanOfTheDay();
  const HealthyTally tally = MeasureHealthy(plan);
  std::fputs(HealthyText(tally, plan).c_str(), stdout);
  ExpectKept(BrokenAbove("false \"outside limits\"", tally.outside, tally.cars, MostOutside()));
  ExpectKept(BrokenAbove("any false alarm", tally.alarmed, tally.cars, MostAlarmed()));
  for (const auto& [name, check] : tally.checks) {
    ExpectKept(BrokenBelow(name + " within limits where all is given",
                           Of(check.given, CheckStatus::kWithin), Sum(check.given), LeastWithin()));
  }
  for (const auto& [name, interval] : tally.intervals) {
    const Range wanted = Coverage(name);
    ExpectKept(
        BrokenBelow(name + " covers the truth", interval.holds, interval.count, wanted.least));
    ExpectKept(
        BrokenAbove(name + " covers the truth", interval.holds, interval.count, wanted.most));
  }
}

TEST(FaultyCars, AreFoundAtTheNamedSize) {
  const auto tallies = MeasureFaults(PlanOfTheDay());
  std::fputs(FaultsText(tallies).c_str(), stdout);
  std::size_t found = 0;
  std::size_t all = 0;
  double wanted = 0;
  for (const FaultTally& tally : tallies) {
    const FaultCounts& counts = tally.sizes[tally.row->named];
    const std::string name(tally.row->name);
    ExpectKept(BrokenBelow(name + " found", counts.found, tally.cars, LeastFound(name)));
    ExpectKept(
        BrokenAbove(name + " called within limits", counts.within, tally.cars, MostWithin(name)));
    found += counts.found;
    all += tally.cars;
    wanted += LeastFound(name) * static_cast<double>(tally.cars);
  }
  ASSERT_GT(all, 0U);
  ExpectKept(BrokenBelow("all faults found", found, all, wanted / static_cast<double>(all)));
}

// The bars themselves can break: worked with exact binomial sums.
TEST(Bars, BreakBeyondChance) {
  EXPECT_EQ(BrokenAbove("alarms", 15, 300, 0.05), "");
  EXPECT_EQ(BrokenAbove("alarms", 60, 300, 0.05), "alarms: 60 of 300, wanted at most 5 %");
  EXPECT_EQ(BrokenBelow("found", 2, 5, 0.95), "");
  EXPECT_EQ(BrokenBelow("found", 1, 5, 0.95), "found: 1 of 5, wanted at least 95 %");
  EXPECT_EQ(BrokenAbove("within", 1, 5, 0), "within: 1 of 5, wanted at most 0 %");
}

}  // namespace
}  // namespace proofdrive::fleet
