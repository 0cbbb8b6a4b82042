// What commands cost on recordings of 1, 10 and 100 hours of an invented car on two buses, as
// ratios to a plain read of the same file, and what memory they need at most. Usage:
// length_benchmark [HOURS...]
#include <cstdio>
#include <cstdlib>
#include <string>
#include <vector>

#include "core/base/posix_files.h"
#include "core/base/text.h"
#include "session/reader.h"
#include "tests/benchmarks/measure.h"
#include "tests/benchmarks/plain_read.h"
#include "tests/support/long_recording.h"
#include "tests/support/run_tool.h"
#include "tests/support/temp_dir.h"

namespace proofdrive::benchmarks {
namespace {

void Run(const std::vector<std::string>& words) {
  const int code = testing::RunUnheard(words);
  if (code == 2 || code == 4) std::exit(1);
}

std::vector<Task> TasksOn(const std::string& one, const std::string& other,
                          const std::string& out) {
  const auto command = [](std::vector<std::string> words) {
    return [words = std::move(words)] { Run(words); };
  };
  return {{"plain read, one thread", [=] { ReadAll(one); }},
          {"check", command({"check", one})},
          {"report", command({"report", one, "--out", out, "--overwrite"})},
          {"compare", command({"compare", one, other})},
          {"history of both", command({"history", one, other})},
          {"decode, one signal of 0.7 % of the frames",
           command({"decode", one, "--signals", "inlet", "--format", "csv"})},
          {"decode, one signal of 11 % of the frames",
           command({"decode", one, "--signals", "pack_current", "--format", "csv"})},
          {"decode, the table", command({"decode", one})},
          {"info --faults", command({"info", one, "--faults"})}};
}

void Show(double hours) {
  const testing::TempDir folder;
  const std::string one = folder.File("one.session"), other = folder.File("other.session");
  PosixFiles files;
  std::vector<Task> making = {
      {"make", [&] { Require(testing::WriteLongRecording(files, one, 1, hours)); }}};
  Measure(making, 1);
  Require(testing::WriteLongRecording(files, other, 2, hours));
  auto reader = session::Reader::Open(files, one);
  Require(reader.status());
  std::printf("\n%.0f h, %s frames, %s bytes, made in %.1f s\n", hours,
              FormatCount((*reader)->frame_count()).c_str(),
              FormatCount((*reader)->file_bytes()).c_str(), making[0].wall);
  reader->reset();
  std::vector<Task> tasks = TasksOn(one, other, folder.File("out.html"));
  Measure(tasks, 1);
  std::printf("%-44s %10s %8s %8s %8s\n", "", "processor", "x read", "clock", "MiB");
  for (const Task& task : tasks) {
    std::printf("%-44s %8.2f s %8.2f %6.2f s %8.0f\n", task.name.c_str(), task.processor,
                task.processor / tasks[0].processor, task.wall, PeakMemory(task.work));
  }
}

}  // namespace
}  // namespace proofdrive::benchmarks

int main(int argc, char** argv) {
  std::vector<double> hours;
  for (int i = 1; i < argc; ++i) hours.push_back(std::atof(argv[i]));
  if (hours.empty()) hours = {1, 10, 100};
  for (const double one : hours) proofdrive::benchmarks::Show(one);
}
