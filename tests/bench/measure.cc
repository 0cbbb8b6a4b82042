#include "tests/bench/measure.h"

#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <limits>

namespace proofdrive::bench {
namespace {

double PeakOf(const rusage& usage) { return static_cast<double>(usage.ru_maxrss) / 1024; }

// The peak of a child that runs `work`; it begins with what this process has now.
double PeakOfChild(const std::function<void()>& work) {
  std::fflush(stdout);
  const pid_t child = fork();
  if (child == 0) {
    work();
    _exit(0);
  }
  int state = 0;
  rusage usage{};
  if (child < 0 || wait4(child, &state, 0, &usage) != child || state != 0) {
    std::fprintf(stderr, "the process whose memory is measured failed\n");
    std::exit(1);
  }
  return PeakOf(usage);
}

void RunOnce(Task& task) {
  const auto wall = std::chrono::steady_clock::now();
  const std::clock_t processor = std::clock();
  task.work();
  const double used = static_cast<double>(std::clock() - processor) / CLOCKS_PER_SEC;
  const std::chrono::duration<double> took = std::chrono::steady_clock::now() - wall;
  task.processor = std::min(task.processor, used);
  task.wall = std::min(task.wall, took.count());
}

}  // namespace

void Require(const Status& status) {
  if (status.ok()) return;
  std::fprintf(stderr, "%s\n", status.message().c_str());
  std::exit(1);
}

void Measure(std::vector<Task>& tasks, int rounds) {
  for (Task& task : tasks) task.processor = task.wall = std::numeric_limits<double>::infinity();
  for (int round = 0; round < rounds; ++round) {
    for (Task& task : tasks) RunOnce(task);
  }
}

double PeakMemory(const std::function<void()>& work) {
  return PeakOfChild(work) - PeakOfChild([] {});
}

}  // namespace proofdrive::bench
