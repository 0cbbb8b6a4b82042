// What comparing two long sessions of four buses costs, beside a plain read of all their frames in
// the same run. Usage: compare_benchmark [HOURS [FRAMES_PER_SECOND]]
//   HOURS              of each session, 10 unless stated
//   FRAMES_PER_SECOND  on all four buses together, 2500 unless stated
// Then the growth over 1, 10 and 100 hours with a fiftieth of the frames.
#include <cstdio>
#include <cstdlib>
#include <future>
#include <string>
#include <thread>
#include <vector>

#include "analysis/checks/checks.h"
#include "analysis/compare/comparison.h"
#include "analysis/findings/findings_of.h"
#include "core/base/posix_files.h"
#include "core/base/text.h"
#include "output/text/comparison_text.h"
#include "session/reader.h"
#include "session/writer.h"
#include "tests/benchmarks/measure.h"
#include "tests/benchmarks/plain_read.h"
#include "tests/benchmarks/reference_log.h"
#include "tests/support/temp_dir.h"

namespace proofdrive::benchmarks {
namespace {

constexpr std::size_t kPart = 1'000'000;  // frames that are made once and repeated
constexpr double kLogRate = 2460;         // frames a second of the synthetic log
constexpr std::uint32_t kIds = 80;        // of the synthetic log, from 0x100

// Every second identifier is described, with three signals; ten warnings. The first two signals
// have roles, so that checks read them. Invented.
std::string Definitions() {
  std::string frames, warnings;
  for (std::uint32_t i = 0; i < kIds; i += 2) {
    const std::string n = std::to_string(i);
    const std::string voltage = i == 0 ? ", role: pack voltage" : "";
    const std::string current = i == 0 ? ", role: pack current, positive: discharge" : "";
    frames += "  frame_" + n + ": {id: " + std::to_string(0x100 + i) + ", length: 8, signals: {a" +
              n + ": {where: bytes 0-1, unit: V, scale: 0.01" + voltage + "}, b" + n +
              ": {where: byte 2, unit: A" + current + "}, c" + n +
              ": {where: byte 3 bit 0, states: {0: off, 1: on}}}}\n";
  }
  for (std::uint32_t i = 0; i < 20; i += 2) {
    const std::string n = std::to_string(i);
    warnings +=
        "  fault_" + n + ": {text: Fault " + n + ", when: \"c" + n + " == on and b" + n +
        " > 250\", on after: 1 s, off after: 1 s, severity: soon, proven by: {condition: \"a" + n +
        " > 100\", for: 60 s}}\n";
  }
  return "vehicle: Test wagon (invented)\nbyte order: big\nframes:\n" + frames + "warnings:\n" +
         warnings;
}

// Repeats a part of the log with later and later times, stretched to the wanted rate.
void Record(const std::string& path, std::uint64_t seed, double hours, double rate) {
  PosixFiles files;
  session::Header header;
  for (int number = 0; number < 4; ++number) {
    session::Channel channel;
    channel.number = static_cast<std::uint8_t>(number);
    channel.name = "can" + std::to_string(number);
    channel.bitrate = 500000;
    header.channels.push_back(channel);
  }
  header.definitions = {{"bench.yaml", Definitions()}};
  session::WriterOptions options;
  options.journal = false;
  auto writer = session::Writer::Create(files, path, header, options);
  Require(writer.status());
  auto left = static_cast<std::size_t>(hours * 3600 * rate);
  std::vector<Frame> part = ReferenceLog(seed).Next(std::min(left, kPart));
  const WallTime first = part.front().time;
  for (Frame& frame : part) {
    frame.channel = static_cast<std::uint8_t>(frame.id % 4);
    frame.time = first + FromSeconds(ToSeconds(frame.time - first) * kLogRate / rate);
  }
  const Duration length = part.back().time - first + FromSeconds(1 / rate);
  while (left > 0) {
    const std::size_t some = std::min(left, part.size());
    Require((*writer)->Append(std::span(part).first(some)));
    for (Frame& frame : part) frame.time += length;
    left -= some;
  }
  Require((*writer)->Finish());
}

void ReadBoth(const std::string& before, const std::string& after) {
  std::thread other([&] { ReadAll(before); });
  ReadAll(after);
  other.join();
}

analysis::SessionFindings ReadOne(session::Reader& reader, const analysis::DefinitionSet& set) {
  auto findings = analysis::FindingsOf(reader, set);
  Require(findings.status());
  return std::move(*findings);
}

// What the command does: both sessions at once, then the checks, then the text.
void CompareBoth(const std::string& before, const std::string& after) {
  PosixFiles files;
  auto old = session::Reader::Open(files, before, {1});
  auto now = session::Reader::Open(files, after, {1});
  Require(old.status());
  Require(now.status());
  const auto chosen =
      analysis::DefinitionsForComparison(files, {}, (*old)->header(), (*now)->header());
  auto other = std::async(std::launch::async, [&] { return ReadOne(**old, chosen.for_before); });
  analysis::SessionFindings own = ReadOne(**now, chosen.for_after);
  analysis::Comparison comparison = analysis::Compare(other.get(), std::move(own));
  const auto checks_before = analysis::RunChecks(**old, chosen.for_before, {});
  const auto checks_after = analysis::RunChecks(**now, chosen.for_after, {});
  Require(checks_before.status());
  Require(checks_after.status());
  comparison.checks = analysis::PairChecks(*checks_before, *checks_after, {});
  if (output::FormatComparison(comparison).find("VERDICT") == std::string::npos) {
    std::fprintf(stderr, "nothing was compared\n");
    std::exit(1);
  }
}

void Show(double hours, double rate) {
  const testing::TempDir folder;
  const std::string before = folder.File("before.session"), after = folder.File("after.session");
  Record(before, 1, hours, rate);
  Record(after, 2, hours, rate);
  std::vector<Task> tasks = {{"read", [&] { ReadBoth(before, after); }},
                             {"compare", [&] { CompareBoth(before, after); }}};
  Measure(tasks, 1);
  const double frames = 2 * hours * 3600 * rate;
  std::printf("%7.0f h %14s %9.1f %9.1f %9.1f %9.1f %9.1f %9.0f\n", hours,
              FormatCount(static_cast<std::uint64_t>(frames)).c_str(), tasks[0].processor,
              tasks[1].processor, tasks[1].processor / 2, tasks[1].wall,
              tasks[1].processor / tasks[0].processor, 1e9 * tasks[1].processor / frames);
  std::printf("          peak memory of comparing %.0f MiB\n",
              PeakMemory([&] { CompareBoth(before, after); }));
}

}  // namespace
}  // namespace proofdrive::benchmarks

int main(int argc, char** argv) {
  using namespace proofdrive::benchmarks;
  const double hours = argc > 1 ? std::atof(argv[1]) : 10;
  const double rate = argc > 2 ? std::atof(argv[2]) : 2500;
  std::printf(
      "Each session  frames of both    read s compare s   on two    wall s    ratio  ns/frame\n");
  Show(hours, rate);
  for (const double growing : {1.0, 10.0, 100.0}) Show(growing, rate / 50);
}
