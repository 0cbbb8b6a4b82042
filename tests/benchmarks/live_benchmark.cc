// The whole daemon under load: frames go into socket pairs and through recvmmsg, queue, recorder
// and live decoder into a session, as from eight CAN interfaces. Sender and daemon are processes of
// their own, so that processor time and memory are the daemon's alone.
//
// Usage: live_benchmark [SECONDS [CASE...]]; without cases all of them, each for SECONDS (60).
//   full     8 buses as full as 1 Mbit/s allows: 21,277 frames/s each (47 bits, ISO 11898-1)
//   page     the same while somebody looks at the live page
//   crowd    the same while 50 look at it
//   stall    the same as full while the disk stops for 0.5 s every 5 s
//   slow     full on a disk of 1 MB/s
//   most     one bus, as fast as the daemon takes frames
//   inside   as fast as the writing thread takes frames that are in memory already
// Frames carry 8 bytes although a bus cannot carry so many of them: that is the harder load. 100 of
// 320 kinds of frame are defined, with 400 signals and 20 warnings.
//
// Exit 1 when frames are neither recorded nor counted as lost, or when a case that must lose none
// does. Times on a shared machine: look at processor time per frame, not at the clock.
#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <string>
#include <vector>

#include "core/base/text.h"
#include "tests/benchmarks/live_load.h"

namespace proofdrive::benchmarks {
namespace {

struct Case {
  const char* name;
  LoadPlan plan;
  bool may_lose = false;
};

std::vector<Case> Cases() {
  LoadPlan full;
  full.channels = 8;
  full.frames_per_s = 21'277;
  LoadPlan page = full;
  page.pages = 1;
  LoadPlan crowd = full;
  crowd.pages = 50;
  LoadPlan stall = full;
  stall.disk.stall = std::chrono::milliseconds(500);
  LoadPlan slow = full;
  slow.disk.bytes_per_s = 1'000'000;
  LoadPlan most;
  most.channels = 1;
  LoadPlan inside = most;
  inside.in_memory = true;
  return {{"full", full, false},   {"page", page, false}, {"crowd", crowd, false},
          {"stall", stall, false}, {"slow", slow, true},  {"most", most, true},
          {"inside", inside, true}};
}

void Print(const char* name, const LoadResult& result) {
  const double sent = static_cast<double>(result.sent);
  std::printf(
      "%-7s %11s sent %11s recorded %10s lost (%s by sockets); %4.2f cores, %5.1f MiB; %5.2f "
      "us/frame, "
      "%5.2f of it in the kernel; %10s frames per core second\n",
      name, FormatCount(result.sent).c_str(), FormatCount(result.recorded).c_str(),
      FormatCount(result.lost).c_str(), FormatCount(result.refused).c_str(),
      result.cpu_s / result.seconds, result.peak_mib, result.cpu_s / sent * 1e6,
      result.kernel_s / sent * 1e6,
      FormatCount(static_cast<std::uint64_t>(sent / result.cpu_s)).c_str());
  if (result.messages > 0) {
    std::printf("        %s messages of the live page\n", FormatCount(result.messages).c_str());
  }
  std::fflush(stdout);
}

int Run(double seconds, const std::vector<std::string>& wanted) {
  int failures = 0;
  for (Case& item : Cases()) {
    if (!wanted.empty() && std::find(wanted.begin(), wanted.end(), item.name) == wanted.end()) {
      continue;
    }
    item.plan.seconds = seconds;
    const LoadResult result = RunLoad(item.plan);
    Print(item.name, result);
    const bool wrong = result.sent == 0 || result.recorded + result.lost != result.sent;
    if (wrong) std::printf("  FRAMES ARE MISSING: neither recorded nor counted\n");
    if (!item.may_lose && result.lost > 0) std::printf("  LOST FRAMES\n");
    if (wrong || (!item.may_lose && result.lost > 0)) ++failures;
  }
  return failures == 0 ? 0 : 1;
}

}  // namespace
}  // namespace proofdrive::benchmarks

int main(int argc, char** argv) {
  const double seconds = argc > 1 ? std::atof(argv[1]) : 60;
  return proofdrive::benchmarks::Run(seconds, {argv + std::min(argc, 2), argv + argc});
}
