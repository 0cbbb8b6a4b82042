// Size and speed of sessions beside two simple baselines, all in one run: compare the ratios, not
// the nanoseconds. Usage: session_bench [FRAMES]
#include <zstd.h>

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <functional>
#include <limits>
#include <span>
#include <string>
#include <vector>

#include <google/protobuf/io/coded_stream.h>
#include <google/protobuf/io/zero_copy_stream_impl_lite.h>
#include <google/protobuf/util/delimited_message_util.h>

#include "core/base/posix_files.h"
#include "session/reader.h"
#include "session/writer.h"
#include "tests/bench/frame_message.pb.h"
#include "tests/bench/reference_log.h"
#include "tests/support/temp_dir.h"

namespace proofdrive::bench {
namespace {

constexpr std::uint64_t kSeed = 20260301;
constexpr int kRepeats = 3;
constexpr std::size_t kBaselineChunk = 65536;  // frames per zstd frame of the baselines

void Require(const Status& status) {
  if (status.ok()) return;
  std::fprintf(stderr, "%s\n", status.message().c_str());
  std::exit(1);
}

// Best of several runs, in ns of processor time per frame: other programs matter less so.
double Time(std::size_t frames, const std::function<void()>& work) {
  double best = std::numeric_limits<double>::infinity();
  for (int i = 0; i < kRepeats; ++i) {
    const std::clock_t start = std::clock();
    work();
    const double took = static_cast<double>(std::clock() - start) * 1e9 / CLOCKS_PER_SEC;
    best = std::min(best, took / static_cast<double>(frames));
  }
  return best;
}

struct Figures {
  const char* name;
  double bytes;
  double write_ns;
  double read_ns;
};

// One compressed run per chunk of frames.
using Runs = std::vector<std::string>;

std::string Compress(const std::string& raw) {
  std::string out(ZSTD_compressBound(raw.size()), '\0');
  out.resize(ZSTD_compress(out.data(), out.size(), raw.data(), raw.size(), 3));
  return out;
}

std::string Decompress(const std::string& run) {
  std::string out(ZSTD_getFrameContentSize(run.data(), run.size()), '\0');
  ZSTD_decompress(out.data(), out.size(), run.data(), run.size());
  return out;
}

std::size_t Bytes(const Runs& runs) {
  std::size_t bytes = 0;
  for (const std::string& run : runs) bytes += run.size();
  return bytes;
}

// --- 24-byte records ---

struct RawRecord {
  std::int64_t time;
  std::uint32_t id;
  std::uint8_t channel, flags, length, raw_dlc;
  std::uint8_t data[8];
};
static_assert(sizeof(RawRecord) == 24);

Runs WriteRaw(const std::vector<Frame>& frames) {
  Runs runs;
  std::string raw;
  for (std::size_t i = 0; i < frames.size(); ++i) {
    const Frame& frame = frames[i];
    RawRecord record{ToNanoseconds(frame.time),
                     frame.id,
                     frame.channel,
                     frame.flags,
                     frame.length,
                     frame.raw_dlc,
                     {}};
    std::copy_n(frame.data.begin(), 8, record.data);
    raw.append(reinterpret_cast<const char*>(&record), sizeof(record));
    if ((i + 1) % kBaselineChunk == 0 || i + 1 == frames.size()) {
      runs.push_back(Compress(raw));
      raw.clear();
    }
  }
  return runs;
}

std::uint64_t ReadRaw(const Runs& runs) {
  std::uint64_t sum = 0;
  Frame frame;
  for (const std::string& run : runs) {
    const std::string raw = Decompress(run);
    for (std::size_t at = 0; at < raw.size(); at += sizeof(RawRecord)) {
      RawRecord record;
      std::copy_n(raw.data() + at, sizeof(record), reinterpret_cast<char*>(&record));
      frame.time = WallFromNanoseconds(record.time);
      frame.id = record.id;
      std::copy_n(record.data, 8, frame.data.begin());
      sum += frame.data[0] + frame.id;
    }
  }
  return sum;
}

// --- one delimited protobuf message per frame ---

std::string SerializeMessages(std::span<const Frame> frames, WallTime& previous) {
  std::string raw;
  google::protobuf::io::StringOutputStream strings(&raw);
  google::protobuf::io::CodedOutputStream out(&strings);
  FrameMessage message;
  for (const Frame& frame : frames) {
    message.set_time((frame.time - previous) / std::chrono::microseconds(1));
    previous = frame.time;
    message.set_id(frame.id);
    message.set_channel(frame.channel);
    message.set_flags(frame.flags);
    message.set_data(frame.data.data(), frame.length);
    google::protobuf::util::SerializeDelimitedToCodedStream(message, &out);
  }
  out.Trim();
  return raw;
}

Runs WriteMessages(const std::vector<Frame>& frames) {
  Runs runs;
  WallTime previous{};
  for (std::size_t i = 0; i < frames.size(); i += kBaselineChunk) {
    const std::size_t count = std::min(kBaselineChunk, frames.size() - i);
    runs.push_back(Compress(SerializeMessages({frames.data() + i, count}, previous)));
  }
  return runs;
}

std::uint64_t ReadMessages(const Runs& runs) {
  std::uint64_t sum = 0;
  Frame frame;
  FrameMessage message;
  for (const std::string& run : runs) {
    const std::string raw = Decompress(run);
    google::protobuf::io::CodedInputStream in(reinterpret_cast<const std::uint8_t*>(raw.data()),
                                              static_cast<int>(raw.size()));
    while (google::protobuf::util::ParseDelimitedFromCodedStream(&message, &in, nullptr)) {
      frame.time += std::chrono::microseconds(message.time());
      frame.id = message.id();
      std::copy(message.data().begin(), message.data().end(), frame.data.begin());
      sum += frame.data[0] + frame.id;
    }
  }
  return sum;
}

// --- sessions ---

std::uint64_t WriteSession(const std::string& path, const std::vector<Frame>& frames,
                           bool journal) {
  PosixFiles files;
  session::WriterOptions options;
  options.journal = journal;
  auto writer = session::Writer::Create(files, path, {}, options);
  Require(writer.status());
  for (std::size_t i = 0; i < frames.size(); i += 256) {
    Require((*writer)->Append({frames.data() + i, std::min<std::size_t>(256, frames.size() - i)}));
  }
  Require((*writer)->Finish());
  return (*writer)->stats().bytes;
}

std::uint64_t ReadSession(const std::string& path) {
  PosixFiles files;
  auto reader = session::Reader::Open(files, path);
  Require(reader.status());
  std::uint64_t sum = 0;
  Require((*reader)->ForEachFrame([&](const Frame& frame) {
    sum += frame.data[0] + frame.id;
    return true;
  }));
  return sum;
}

double ReadOneStream(const std::string& path) {
  PosixFiles files;
  auto reader = session::Reader::Open(files, path);
  Require(reader.status());
  const StreamKey key = (*reader)->streams()[0].key;
  return Time(1, [&] { Require((*reader)->ReadStream(key).status()); });
}

void Print(const Figures& figures, const Figures& session) {
  std::printf(
      "%-38s %7.2f B/frame  write %6.1f ns  read %6.1f ns   session: size x%.2f, read x%.2f\n",
      figures.name, figures.bytes, figures.write_ns, figures.read_ns, figures.bytes / session.bytes,
      figures.read_ns / session.read_ns);
}

void Run(std::size_t count) {
  const std::vector<Frame> frames = MakeReferenceLog(count, kSeed);
  const auto n = static_cast<double>(count);
  testing::TempDir folder;
  int number = 0;
  std::string path;
  std::uint64_t size = 0;
  const double write = Time(count, [&] {
    path = folder.File(std::to_string(++number) + ".session");
    size = WriteSession(path, frames, false);
  });
  const double write_journal = Time(count, [&] {
    WriteSession(folder.File(std::to_string(++number) + ".session"), frames, true);
  });
  std::uint64_t sum = 0;
  const double read = Time(count, [&] { sum = ReadSession(path); });
  const Figures session{"session", static_cast<double>(size) / n, write, read};

  Runs raw, messages;
  Figures raw_figures{"24-byte records, zstd 3", 0, 0, 0};
  raw_figures.write_ns = Time(count, [&] { raw = WriteRaw(frames); });
  raw_figures.read_ns = Time(count, [&] {
    if (ReadRaw(raw) != sum) std::abort();
  });
  raw_figures.bytes = static_cast<double>(Bytes(raw)) / n;
  Figures message_figures{"one protobuf message per frame, zstd 3", 0, 0, 0};
  message_figures.write_ns = Time(count, [&] { messages = WriteMessages(frames); });
  message_figures.read_ns = Time(count, [&] {
    if (ReadMessages(messages) != sum) std::abort();
  });
  message_figures.bytes = static_cast<double>(Bytes(messages)) / n;

  std::printf("%zu frames, seed %llu, best of %d\n", count, static_cast<unsigned long long>(kSeed),
              kRepeats);
  Print(session, session);
  Print({"24-byte records", 24, 0, 0}, session);
  Print(raw_figures, session);
  Print(message_figures, session);
  std::printf("with journal: write %.1f ns\n", write_journal);
  const double stream_ns = ReadOneStream(path);
  std::printf("one stream: %.3f ms; whole session %.1f ms: x%.1f\n", stream_ns / 1e6,
              read * n / 1e6, read * n / stream_ns);
}

}  // namespace
}  // namespace proofdrive::bench

int main(int argc, char** argv) {
  proofdrive::bench::Run(argc > 1 ? std::strtoull(argv[1], nullptr, 10) : 1'000'000);
}
