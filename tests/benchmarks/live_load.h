// Puts load on the whole daemon and measures what becomes of it.
#pragma once

#include <cstddef>
#include <cstdint>

#include "tests/benchmarks/slow_files.h"

namespace proofdrive::benchmarks {

struct LoadPlan {
  std::size_t channels = 1;
  std::uint64_t frames_per_s = 0;  // on each channel; 0 = as fast as they are taken
  double seconds = 60;
  std::size_t pages = 0;  // how many look at the live page meanwhile
  DiskManners disk;
  bool in_memory = false;  // without sockets: into the queue, from a source that waits for room
};

struct LoadResult {
  std::uint64_t sent = 0;
  std::uint64_t recorded = 0;
  std::uint64_t lost = 0;      // and counted, by the socket or by the daemon
  std::uint64_t refused = 0;   // of these, by a full socket, where a kernel would drop them
  std::uint64_t messages = 0;  // of the live page, to all who looked
  double seconds = 0;          // of sending
  double cpu_s = 0;            // of the daemon's process, all threads, user and kernel
  double kernel_s = 0;         // of these, in the kernel: receiving and writing
  double peak_mib = 0;         // of its memory
};

// In processes of its own; ends this one when that cannot be had.
LoadResult RunLoad(const LoadPlan& plan);

}  // namespace proofdrive::benchmarks
