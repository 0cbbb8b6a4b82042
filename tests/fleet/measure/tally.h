// What the checks said about many cars, counted.
#pragma once

#include <array>
#include <cstdint>
#include <functional>
#include <map>
#include <string>
#include <vector>

#include "tests/fleet/faults/fault_table.h"
#include "tests/fleet/measure/examine.h"

namespace proofdrive::fleet {

// By CheckStatus.
using Counts = std::array<std::size_t, 4>;
struct Reason {
  std::size_t count = 0;
  std::uint64_t car = 0;  // the first one, by its seed
};
using Reasons = std::map<std::string, Reason>;

struct CheckTally {
  Counts all = {};    // every healthy car
  Counts given = {};  // those that give all it asks for
  Reasons alarms;     // sentences of "outside limits" and "look closer"
  Reasons cannot_tell;
};

struct IntervalTally {
  std::size_t holds = 0, count = 0;
  std::vector<double> errors, offs;  // as Stated has them
};

struct HealthyTally {
  std::size_t cars = 0, cars_all_roles = 0;
  std::size_t outside = 0;  // cars with any check "outside limits"
  std::size_t alarmed = 0;  // cars with any "outside limits" or "look closer"
  std::map<std::string, CheckTally> checks;
  std::map<std::string, IntervalTally> intervals;
  std::size_t values = 0;
};

// What became of the cars of one size. An alarm in the same words as that of the same car without
// the fault finds nothing.
struct FaultCounts {
  std::size_t found = 0, alarmed_before = 0, within = 0, cannot_tell = 0;
};

struct FaultTally {
  const FaultRow* row = nullptr;
  std::size_t cars = 0;
  std::array<FaultCounts, 5> sizes = {};
  Reasons cannot_tell, within;  // at the named size and above
};

struct Plan {
  std::size_t cars = 2000;
  std::size_t fault_cars = 20;  // of each size of each fault
  bool named_only = false;      // only the size from which the document says it is found
  std::uint64_t seed = 1;
  unsigned threads = 2;
  std::vector<std::string> checks, faults;  // empty = all
};

bool Wanted(const std::vector<std::string>& list, std::string_view name);
HealthyTally MeasureHealthy(const Plan& plan);
std::vector<FaultTally> MeasureFaults(const Plan& plan);

// Calls `work` for 0 .. count-1 from this many threads.
void InParallel(std::size_t count, unsigned threads, const std::function<void(std::size_t)>& work);

}  // namespace proofdrive::fleet
