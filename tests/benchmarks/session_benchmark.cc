// Size, speed and memory of sessions beside simple baselines, all in one run: compare the ratios,
// not the nanoseconds. Usage: session_benchmark [FRAMES [LONG_FRAMES]]
//   FRAMES       of the synthetic log, 10,000,000 unless stated
//   LONG_FRAMES  also records a session of that many frames and shows what opening it costs
#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <functional>
#include <limits>
#include <memory>
#include <random>
#include <string>
#include <vector>

#include "core/base/posix_files.h"
#include "core/base/text.h"
#include "session/reader.h"
#include "session/writer.h"
#include "tests/benchmarks/baselines.h"
#include "tests/benchmarks/long_session.h"
#include "tests/benchmarks/measure.h"
#include "tests/benchmarks/reference_log.h"
#include "tests/support/real_frames.h"
#include "tests/support/temp_dir.h"

namespace proofdrive::benchmarks {
namespace {

constexpr std::uint64_t kSeed = 20260301;
constexpr int kRounds = 3;
constexpr std::size_t kAtOnce = 256;  // frames handed to the writer, as a busy recorder does

// --- sessions ---

using Journal = bool;

void Append(session::Writer& writer, std::span<const Frame> frames) {
  for (std::size_t i = 0; i < frames.size(); i += kAtOnce) {
    Require(writer.Append(frames.subspan(i, std::min(kAtOnce, frames.size() - i))));
  }
}

std::unique_ptr<session::Writer> NewSession(Files& files, const std::string& path,
                                            Journal journal) {
  session::WriterOptions options;
  options.journal = journal;
  auto writer = session::Writer::Create(files, path, {}, options);
  Require(writer.status());
  return std::move(*writer);
}

std::uint64_t WriteSession(const std::string& path, std::span<const Frame> frames,
                           Journal journal) {
  PosixFiles files;
  if (files.Exists(path)) Require(files.Remove(path));
  const auto writer = NewSession(files, path, journal);
  Append(*writer, frames);
  Require(writer->Finish());
  return writer->stats().bytes;
}

std::unique_ptr<session::Reader> OpenSession(Files& files, const std::string& path,
                                             unsigned threads) {
  auto reader = session::Reader::Open(files, path, {threads});
  Require(reader.status());
  return std::move(*reader);
}

std::uint64_t ReadByFrame(const std::string& path, unsigned threads) {
  PosixFiles files;
  std::uint64_t sum = 0;
  Require(OpenSession(files, path, threads)->ForEachFrame([&](const Frame& frame) {
    sum = Digest(sum, frame);
    return true;
  }));
  return sum;
}

std::uint64_t ReadByBatch(const std::string& path, unsigned threads) {
  PosixFiles files;
  std::uint64_t sum = 0;
  Require(OpenSession(files, path, threads)->ForEachBatch([&](std::span<const Frame> frames) {
    for (const Frame& frame : frames) sum = Digest(sum, frame);
    return true;
  }));
  return sum;
}

void RequireSame(std::uint64_t sum, std::uint64_t expected) {
  if (sum == expected) return;
  std::fprintf(stderr, "frames came back changed\n");
  std::exit(1);
}

// --- one table ---

struct Row {
  std::string name;
  double bytes = 0;
  const Task* write = nullptr;
  const Task* read = nullptr;
};

void PrintRatio(double ratio) { std::printf(ratio > 0 ? " %7.2f" : "       -", ratio); }

double PerFrame(const Task* task, double frames) {
  return task == nullptr ? 0 : task->processor * 1e9 / frames;
}

// Ratios say how many times larger or slower than a session (the first row).
void PrintTable(const std::vector<Row>& rows, double frames) {
  std::printf("%-40s %8s %8s %8s %8s %8s %8s %8s\n", "", "B/frame", "size x", "1/raw", "write ns",
              "write x", "read ns", "read x");
  for (const Row& row : rows) {
    const double write = PerFrame(row.write, frames);
    const double read = PerFrame(row.read, frames);
    std::printf("%-40s %8.3f", row.name.c_str(), row.bytes / frames);
    for (const double value :
         {row.bytes / rows[0].bytes, kRawBytes * frames / row.bytes, write,
          write / PerFrame(rows[0].write, frames), read, read / PerFrame(rows[0].read, frames)}) {
      std::printf(" ");
      PrintRatio(value);
    }
    std::printf("\n");
  }
}

// One stream as it is read block by block, like the frames of all, which nobody keeps either.
void ReadBlocks(session::Reader& reader, const StreamKey& key) {
  std::uint64_t sum = 0;
  Require(reader.ForEachBlock({false, {key}}, [&](const session::FrameBlock& block) {
    for (const session::BlockStream& stream : block.streams()) {
      for (std::size_t row = 0; row < stream.rows(); ++row) {
        sum +=
            stream.bytes[row * stream.stride()] + static_cast<std::uint64_t>(stream.times_ns[row]);
      }
    }
    return true;
  }));
  if (sum == 0) std::fprintf(stderr, "a stream of nothing but zeros\n");
}

void PrintStreams(const std::string& path, double fastest_read) {
  PosixFiles files;
  const auto reader = OpenSession(files, path, 1);
  std::vector<Task> tasks;
  const session::StreamInfo* largest = &reader->streams().front();
  for (const session::StreamInfo& stream : reader->streams()) {
    tasks.push_back({"", [&reader, key = stream.key] { ReadBlocks(*reader, key); }});
    if (stream.frames > largest->frames) largest = &stream;
  }
  std::vector<Task> whole = {{"", [&] { Require(reader->ReadStream(largest->key).status()); }}};
  Measure(tasks, 5 * kRounds);  // they are short
  Measure(whole, 5 * kRounds);
  double sum = 0;
  double slowest = 0;
  for (const Task& task : tasks) {
    sum += task.processor;
    slowest = std::max(slowest, task.processor);
  }
  const double mean = sum / static_cast<double>(tasks.size());
  std::printf(
      "one of %zu streams: mean %.2f ms, slowest (largest) %.2f ms; fastest read of all "
      "frames %.1f ms: x%.0f, x%.0f\n",
      tasks.size(), mean * 1e3, slowest * 1e3, fastest_read * 1e3, fastest_read / mean,
      fastest_read / slowest);
  std::printf("the largest kept in memory as one column: %.2f ms: x%.0f\n",
              whole[0].processor * 1e3, fastest_read / whole[0].processor);
}

// By the clock needs two idle cores. On a busy machine the processor time of the thread that works
// most tells what two idle cores would take.
void PrintCores(const char* how, const Task& one, const Task& two) {
  std::printf(
      "%s, two threads: by the clock %.1f ms, one thread %.1f ms: x%.2f; processor time of "
      "the busier thread %.1f ms, of one alone %.1f ms: x%.2f\n",
      how, two.wall * 1e3, one.wall * 1e3, one.wall / two.wall, two.busiest * 1e3,
      one.processor * 1e3, one.processor / two.busiest);
}

void Compare(const char* title, const std::vector<Frame>& frames, int rounds) {
  const testing::TempDir folder;
  const std::string path = folder.File("a.session");
  const std::string journaled = folder.File("b.session");
  std::uint64_t bytes = 0;
  std::uint64_t expected = 0;
  for (const Frame& frame : frames) expected = Digest(expected, frame);
  Runs raw, messages;
  std::vector<Task> tasks = {
      {"write", [&] { bytes = WriteSession(path, frames, false); }},
      {"write with journal", [&] { WriteSession(journaled, frames, true); }},
      {"write raw", [&] { raw = WriteRaw(frames); }},
      {"write messages", [&] { messages = WriteMessages(frames); }},
      {"read by batch", [&] { RequireSame(ReadByBatch(path, 1), expected); }},
      {"read by frame", [&] { RequireSame(ReadByFrame(path, 1), expected); }},
      {"read messages", [&] { RequireSame(ReadMessages(messages), expected); }},
      {"read raw", [&] { RequireSame(ReadRaw(raw), expected); }},
      {"read by batch, 2", [&] { RequireSame(ReadByBatch(path, 2), expected); }},
      {"read by frame, 2", [&] { RequireSame(ReadByFrame(path, 2), expected); }},
  };
  Measure(tasks, rounds);
  const auto n = static_cast<double>(frames.size());
  const auto session_bytes = static_cast<double>(bytes);
  std::printf("\n%s, %s frames, best of %d\n", title, FormatCount(frames.size()).c_str(), rounds);
  PrintTable({{"session, frames in batches", session_bytes, &tasks[0], &tasks[4]},
              {"session with journal, frame by frame", session_bytes, &tasks[1], &tasks[5]},
              {"24-byte records", kRawBytes * n},
              {"24-byte records, zstd 3", static_cast<double>(BytesOf(raw)), &tasks[2], &tasks[7]},
              {"pcapng, zstd 3", static_cast<double>(CaptureBytes(frames, folder.path()))},
              {"one protobuf message per frame, zstd 3", static_cast<double>(BytesOf(messages)),
               &tasks[3], &tasks[6]}},
             n);
  PrintCores("in batches", tasks[4], tasks[8]);
  PrintCores("frame by frame", tasks[5], tasks[9]);
  PrintStreams(path, std::min(tasks[4].processor, tasks[5].processor));
}

// --- memory ---

using Maker = std::function<std::vector<Frame>(std::size_t count)>;

// Frames are made while writing, so that only the writer grows with them, if anything does.
void WriteWhileMaking(const std::string& path, std::size_t count, const Maker& make) {
  PosixFiles files;
  const auto writer = NewSession(files, path, true);
  for (; count > 0; count -= std::min(count, kAtOnce)) {
    Require(writer->Append(make(std::min(count, kAtOnce))));
  }
  Require(writer->Finish());
}

Maker ReferenceFrames() {
  return
      [log = std::make_shared<ReferenceLog>(kSeed)](std::size_t count) { return log->Next(count); };
}

// The largest frames there are, with bytes that do not compress.
Maker LargestFrames() {
  return [random = std::mt19937_64(kSeed), number = std::int64_t{0}](std::size_t count) mutable {
    std::vector<Frame> frames(count);
    for (Frame& frame : frames) {
      frame.time = WallFromNanoseconds(++number * 300'000);
      frame.id = static_cast<std::uint32_t>(0x100 + random() % 80);
      frame.flags = kFlexibleData;
      frame.length = kMaxFdLength;
      for (std::uint8_t& byte : frame.data) byte = static_cast<std::uint8_t>(random());
    }
    return frames;
  };
}

void PrintMemory(const char* what, std::size_t count, const Maker& make) {
  const testing::TempDir folder;
  const std::string path = folder.File("a.session");
  const double write = PeakMemory([&] { WriteWhileMaking(path, count, make); });
  const double read = PeakMemory([&] { ReadByBatch(path, 2); });
  std::printf("%12s frames %s: write %.1f, read all %.1f\n", FormatCount(count).c_str(), what,
              write, read);
}

void PrintMemory() {
  std::printf("peak memory beyond that of an idle process, in MiB (one session, two threads)\n");
  PrintMemory("of the synthetic log", 1'000'000, ReferenceFrames());
  PrintMemory("of the synthetic log", 8'000'000, ReferenceFrames());
  PrintMemory("of 64 random bytes", 300'000, LargestFrames());
  PrintMemory("of 64 random bytes", 900'000, LargestFrames());
}

}  // namespace
}  // namespace proofdrive::benchmarks

int main(int argc, char** argv) {
  using namespace proofdrive::benchmarks;
  const std::size_t count = argc > 1 ? std::strtoull(argv[1], nullptr, 10) : 10'000'000;
  PrintMemory();
  if (argc > 2) ShowLongSession(std::strtoull(argv[2], nullptr, 10));
  const std::string title = "synthetic log, seed " + std::to_string(kSeed);
  Compare(title.c_str(), ReferenceLog(kSeed).Next(count), kRounds);
  const auto real = proofdrive::testing::RealFrames("car-labelled-injection", "clean.csv.gz");
  if (real) Compare("real drive of a car", *real, 3 * kRounds);
}
