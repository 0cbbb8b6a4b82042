// How the benchmarks measure: everything beside its baseline in one run, in turns, the best of
// several.
#pragma once

#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "core/base/result.h"

namespace proofdrive::benchmarks {

// Prints what is wrong and ends the program.
void Require(const Status& status);

struct Task {
  std::string name;
  std::function<void()> work;
  // Best of all rounds, in seconds: processor time of all threads; of the thread that used most, if
  // at most one beside the calling one worked; and by the clock on the wall.
  double processor = 0;
  double busiest = 0;
  double wall = 0;
};

// Runs all tasks in turn, `rounds` times, so that what disturbs one round disturbs all tasks.
void Measure(std::vector<Task>& tasks, int rounds);

// Peak of the memory that a process of its own needs for `work`, in MiB: beyond what it had before.
double PeakMemory(const std::function<void()>& work);

}  // namespace proofdrive::benchmarks
