#include "tests/benchmarks/measure.h"

#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <limits>

namespace proofdrive::benchmarks {
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

double ProcessorTime(clockid_t clock) {
  timespec time{};
  clock_gettime(clock, &time);
  return static_cast<double>(time.tv_sec) + static_cast<double>(time.tv_nsec) * 1e-9;
}

void RunOnce(Task& task) {
  const auto wall = std::chrono::steady_clock::now();
  const double all_before = ProcessorTime(CLOCK_PROCESS_CPUTIME_ID);
  const double own_before = ProcessorTime(CLOCK_THREAD_CPUTIME_ID);
  task.work();
  const double all = ProcessorTime(CLOCK_PROCESS_CPUTIME_ID) - all_before;
  const double own = ProcessorTime(CLOCK_THREAD_CPUTIME_ID) - own_before;
  const std::chrono::duration<double> took = std::chrono::steady_clock::now() - wall;
  task.processor = std::min(task.processor, all);
  task.busiest = std::min(task.busiest, std::max(own, all - own));
  task.wall = std::min(task.wall, took.count());
}

}  // namespace

void Require(const Status& status) {
  if (status.ok()) return;
  std::fprintf(stderr, "%s\n", status.message().c_str());
  std::exit(1);
}

void Measure(std::vector<Task>& tasks, int rounds) {
  for (Task& task : tasks) {
    task.processor = task.busiest = task.wall = std::numeric_limits<double>::infinity();
  }
  for (int round = 0; round < rounds; ++round) {
    for (Task& task : tasks) RunOnce(task);
  }
}

double PeakMemory(const std::function<void()>& work) {
  return PeakOfChild(work) - PeakOfChild([] {});
}

}  // namespace proofdrive::benchmarks
