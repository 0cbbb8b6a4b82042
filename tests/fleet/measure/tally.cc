#include "tests/fleet/measure/tally.h"

#include <algorithm>
#include <atomic>
#include <thread>

#include "tests/fleet/car/draw_car.h"

namespace proofdrive::fleet {
namespace {

using analysis::CheckStatus;

constexpr std::uint64_t kFaultSeeds = 1'000'000'000;  // apart from the healthy cars

bool IsAlarm(CheckStatus status) {
  return status == CheckStatus::kOutside || status == CheckStatus::kLookCloser;
}

void Note(const std::string& why, std::uint64_t car, Reasons& reasons) {
  Reason& reason = reasons[why];
  if (reason.count++ == 0) reason.car = car;
}

void Count(const Outcome& outcome, std::uint64_t car, HealthyTally& tally) {
  ++tally.cars;
  if (outcome.all_roles) ++tally.cars_all_roles;
  tally.values += outcome.values;
  bool outside = false;
  bool alarmed = false;
  for (const Answer& answer : outcome.answers) {
    CheckTally& check = tally.checks[answer.check];
    const auto status = static_cast<std::size_t>(answer.status);
    ++check.all[status];
    if (answer.given) ++check.given[status];
    outside |= answer.status == CheckStatus::kOutside;
    alarmed |= IsAlarm(answer.status);
    if (IsAlarm(answer.status)) Note(answer.why, car, check.alarms);
    if (answer.status == CheckStatus::kCannotTell) Note(answer.why, car, check.cannot_tell);
  }
  if (outside) ++tally.outside;
  if (alarmed) ++tally.alarmed;
  for (const Stated& stated : outcome.stated) {
    IntervalTally& interval = tally.intervals[stated.figure];
    ++interval.count;
    if (stated.holds()) ++interval.holds;
    interval.errors.push_back(stated.error);
    interval.offs.push_back(stated.off);
  }
}

// Cars that send every role and can have the fault, in the order of their seeds.
std::vector<Car> Candidates(const FaultRow& row, std::size_t count, std::uint64_t seed) {
  std::vector<Car> cars;
  for (std::uint64_t next = kFaultSeeds + seed * 100000; cars.size() < count; ++next) {
    Car car = DrawCar(next);
    const bool complete = car.all_roles && car.sensors.missing_pages.empty();
    if (complete && (row.possible == nullptr || row.possible(car))) cars.push_back(std::move(car));
  }
  return cars;
}

void Count(const Answer& answer, const Answer& healthy, FaultCounts& counts) {
  if (answer.status == CheckStatus::kWithin) {
    ++counts.within;
  } else if (answer.status == CheckStatus::kCannotTell) {
    ++counts.cannot_tell;
  } else if (IsAlarm(healthy.status) && healthy.why == answer.why) {
    ++counts.alarmed_before;
  } else {
    ++counts.found;
  }
}

void MeasureFault(const FaultRow& row, const Plan& plan, FaultTally& tally) {
  const std::vector<Car> cars = Candidates(row, plan.fault_cars, plan.seed);
  // Of each car the sizes, then without the fault.
  const std::size_t first = plan.named_only ? row.named : 0;
  const std::size_t sizes = plan.named_only ? 1 : row.sizes.size();
  const std::size_t kinds = sizes + 1;
  std::vector<Answer> answers(cars.size() * kinds);
  InParallel(answers.size(), plan.threads, [&](std::size_t i) {
    Car car = cars[i / kinds];
    if (i % kinds < sizes) row.make(car, row.sizes[first + i % kinds]);
    answers[i] = ExamineFor(std::move(car), row.check);
  });
  tally.row = &row;
  tally.cars = cars.size();
  for (std::size_t i = 0; i < answers.size(); ++i) {
    const std::size_t kind = i % kinds;
    if (kind == sizes) continue;
    const std::size_t size = first + kind;
    Count(answers[i], answers[i - kind + sizes], tally.sizes[size]);
    if (size < row.named || IsAlarm(answers[i].status)) continue;
    const bool within = answers[i].status == CheckStatus::kWithin;
    Note(answers[i].why, cars[i / kinds].seed, within ? tally.within : tally.cannot_tell);
  }
}

}  // namespace

bool Wanted(const std::vector<std::string>& list, std::string_view name) {
  return list.empty() || std::find(list.begin(), list.end(), name) != list.end();
}

void InParallel(std::size_t count, unsigned threads, const std::function<void(std::size_t)>& work) {
  std::atomic<std::size_t> next = 0;
  const auto run = [&] {
    for (std::size_t i = next++; i < count; i = next++) work(i);
  };
  std::vector<std::jthread> others;
  for (unsigned i = 1; i < threads; ++i) others.emplace_back(run);
  run();
}

HealthyTally MeasureHealthy(const Plan& plan) {
  std::vector<Outcome> outcomes(plan.cars);
  InParallel(plan.cars, plan.threads,
             [&](std::size_t i) { outcomes[i] = Examine(DrawCar(plan.seed + i)); });
  HealthyTally tally;
  for (std::size_t i = 0; i < outcomes.size(); ++i) Count(outcomes[i], plan.seed + i, tally);
  return tally;
}

std::vector<FaultTally> MeasureFaults(const Plan& plan) {
  std::vector<FaultTally> tallies;
  if (plan.fault_cars == 0) return tallies;
  for (const FaultRow& row : AllFaults()) {
    if (!Wanted(plan.faults, row.name) || !Wanted(plan.checks, row.check)) continue;
    MeasureFault(row, plan, tallies.emplace_back());
  }
  return tallies;
}

}  // namespace proofdrive::fleet
