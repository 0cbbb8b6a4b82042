#include "tests/benchmarks/long_session.h"

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <memory>
#include <string>
#include <vector>

#include "core/base/posix_files.h"
#include "core/base/text.h"
#include "session/reader.h"
#include "session/writer.h"
#include "tests/benchmarks/measure.h"
#include "tests/benchmarks/reference_log.h"
#include "tests/support/counting_files.h"
#include "tests/support/temp_dir.h"

namespace proofdrive::benchmarks {
namespace {

constexpr std::uint64_t kSeed = 20260301;
constexpr std::size_t kPart = 2'000'000;  // frames that are repeated, about 13 minutes

void Record(const std::string& path, std::size_t count) {
  PosixFiles files;
  session::WriterOptions options;
  options.journal = false;
  auto writer = session::Writer::Create(files, path, {}, options);
  Require(writer.status());
  std::vector<Frame> part = ReferenceLog(kSeed).Next(std::min(count, kPart));
  const Duration length = part.back().time - part.front().time + std::chrono::milliseconds(1);
  while (count > 0) {
    const std::size_t some = std::min(count, part.size());
    Require((*writer)->Append(std::span(part).first(some)));
    for (Frame& frame : part) frame.time += length;
    count -= some;
  }
  Require((*writer)->Finish());
}

class Stopwatch {
 public:
  double seconds() const {
    return std::chrono::duration<double>(std::chrono::steady_clock::now() - start_).count();
  }

 private:
  std::chrono::steady_clock::time_point start_ = std::chrono::steady_clock::now();
};

void ShowReading(const std::string& path) {
  testing::CountingFiles<PosixFiles> files;
  const Stopwatch opening;
  auto opened = session::Reader::Open(files, path);
  Require(opened.status());
  session::Reader& reader = **opened;
  std::printf("open: %.3f s, %s of %s bytes read\n", opening.seconds(),
              FormatCount(files.bytes).c_str(), FormatCount(reader.file_bytes()).c_str());
  auto streams = reader.streams();
  std::sort(streams.begin(), streams.end(),
            [](const auto& a, const auto& b) { return a.frames < b.frames; });
  for (const session::StreamInfo& info : {streams.front(), streams.back()}) {
    files.bytes = 0;
    const Stopwatch asking;
    const auto column = reader.ReadStream(info.key);
    Require(column.status());
    std::printf(
        "stream of %s frames: %.3f s, %s bytes read = %.2f %% of the file\n",
        FormatCount(column->times.size()).c_str(), asking.seconds(),
        FormatCount(files.bytes).c_str(),
        100.0 * static_cast<double>(files.bytes) / static_cast<double>(reader.file_bytes()));
  }
}

}  // namespace

void ShowLongSession(std::size_t frames) {
  const testing::TempDir folder;
  const std::string path = folder.File("long.session");
  std::printf("\na session of %s frames\n", FormatCount(frames).c_str());
  const Stopwatch recording;
  const double write = PeakMemory([&] { Record(path, frames); });
  std::printf("recorded in %.1f s, peak memory %.1f MiB with the %s frames that are repeated\n",
              recording.seconds(), write, FormatCount(std::min(frames, kPart)).c_str());
  ShowReading(path);
}

}  // namespace proofdrive::benchmarks
