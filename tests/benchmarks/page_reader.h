// Somebody who looks at the live page while the load is on.
#pragma once

#include <cstdint>
#include <string>

namespace proofdrive::benchmarks {

// Takes every message of the live page over the daemon's Unix socket `path` until the daemon ends;
// waits for it to begin. Returns how many there were, 0 when it could not be reached in 5 s.
std::uint64_t ReadPage(const std::string& path);

}  // namespace proofdrive::benchmarks
