#include "tests/benchmarks/plain_read.h"

#include <cstdint>
#include <cstdlib>
#include <span>

#include "core/base/posix_files.h"
#include "session/reader.h"
#include "tests/benchmarks/measure.h"

namespace proofdrive::benchmarks {

void ReadAll(const std::string& path) {
  PosixFiles files;
  auto reader = session::Reader::Open(files, path, {1});
  Require(reader.status());
  std::uint64_t sum = 0;
  Require((*reader)->ForEachBatch([&](std::span<const Frame> frames) {
    for (const Frame& frame : frames) sum += frame.id + frame.data[0];
    return true;
  }));
  if (sum == 0) std::exit(1);
}

}  // namespace proofdrive::benchmarks
