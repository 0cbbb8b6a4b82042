// Do long recordings get other answers than short ones? Draws cars of the fleet, healthy and with
// each fault, judges each recording at once and stretch by stretch, and counts what differs.
#include <array>
#include <cstdio>
#include <cstdlib>
#include <map>
#include <mutex>
#include <string>

#include "tests/fleet/car/draw_car.h"
#include "tests/fleet/faults/fault_table.h"
#include "tests/fleet/measure/tally.h"
#include "tests/stretched/both_ways.h"

namespace proofdrive::fleet {
namespace {

constexpr const char* kNames[] = {"same", "LOST", "FALSE WITHIN", "INVENTED", "withdrawn"};

struct Counts {
  std::map<std::string, std::array<int, std::size(kNames)>> of_check;
  std::mutex mutex;
};

void Count(const Car& car, const std::string& fault, double share, Counts& counts) {
  const BothWays both = JudgeBothWays(Send(car, Live(car)), car.facts, share);
  const std::lock_guard lock(counts.mutex);
  for (const TwoAnswers& one : both.answers) {
    const auto difference = static_cast<std::size_t>(one.difference);
    ++counts.of_check[one.check][difference];
    if (difference == 0) continue;
    std::printf("%s: %s, car %llu, %zu values in %zu stretches\n  at once: %s\n  stretched: %s\n",
                kNames[difference], (one.check + ", " + fault).c_str(),
                static_cast<unsigned long long>(car.seed), both.values, both.stretches,
                one.at_once.summary.c_str(), one.stretched.summary.c_str());
  }
}

void Print(const char* title, const Counts& counts) {
  std::printf("\n%-14s", title);
  for (const char* name : kNames) std::printf("%14s", name);
  for (const auto& [check, of] : counts.of_check) {
    std::printf("\n%-14s", check.c_str());
    for (const int count : of) std::printf("%14d", count);
  }
  std::printf("\n");
}

// CARS healthy ones, FAULTY ones of each fault at the size that its document names, the SHARE of
// the values that a stretch has.
int Main(std::size_t cars, std::size_t faulty, double share, int times) {
  Counts healthy, with_fault;
  InParallel(cars, 2, [&](std::size_t i) {
    Count(DrivenMore(DrawCar(1 + i), times), "healthy", share, healthy);
  });
  const auto rows = AllFaults();
  InParallel(rows.size() * faulty, 2, [&](std::size_t i) {
    const FaultRow& row = rows[i / faulty];
    std::uint64_t seed = 2'000'000 + 1000 * (i % faulty);
    Car car = DrawCar(seed);
    while (!car.all_roles || (row.possible != nullptr && !row.possible(car))) car = DrawCar(++seed);
    row.make(car, row.sizes[row.named]);
    Count(DrivenMore(std::move(car), times), std::string(row.name), share, with_fault);
  });
  Print("healthy", healthy);
  Print("with a fault", with_fault);
  return 0;
}

}  // namespace
}  // namespace proofdrive::fleet

// CARS FAULTY SHARE TIMES
int main(int count, char** words) {
  const auto number = [&](int i, double otherwise) {
    return i < count ? std::atof(words[i]) : otherwise;
  };
  return proofdrive::fleet::Main(static_cast<std::size_t>(number(1, 100)),
                                 static_cast<std::size_t>(number(2, 5)), number(3, 0.3),
                                 static_cast<int>(number(4, 2)));
}
