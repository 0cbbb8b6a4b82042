#include "tests/benchmarks/baselines.h"

#include <zstd.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <memory>
#include <span>

#include <google/protobuf/io/coded_stream.h>
#include <google/protobuf/io/zero_copy_stream_impl_lite.h>
#include <google/protobuf/util/delimited_message_util.h>

#include "core/base/posix_files.h"
#include "output/pcapng/writer.h"
#include "tests/benchmarks/frame_message.pb.h"
#include "tests/benchmarks/measure.h"

namespace proofdrive::benchmarks {
namespace {

constexpr int kLevel = 3;
constexpr std::size_t kRunFrames = 65536;

std::string Compress(const std::string& raw) {
  std::string out(ZSTD_compressBound(raw.size()), '\0');
  out.resize(ZSTD_compress(out.data(), out.size(), raw.data(), raw.size(), kLevel));
  return out;
}

std::string Decompress(const std::string& run) {
  std::string out(ZSTD_getFrameContentSize(run.data(), run.size()), '\0');
  ZSTD_decompress(out.data(), out.size(), run.data(), run.size());
  return out;
}

struct RawRecord {
  std::int64_t time;
  std::uint32_t id;
  std::uint8_t channel, flags, length, raw_dlc;
  std::uint8_t data[8];
};
static_assert(sizeof(RawRecord) == kRawBytes);

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

// Size of the file after compression.
std::uint64_t CompressedBytes(const std::string& path) {
  const std::unique_ptr<ZSTD_CCtx, std::size_t (*)(ZSTD_CCtx*)> zstd{ZSTD_createCCtx(),
                                                                     ZSTD_freeCCtx};
  ZSTD_CCtx_setParameter(zstd.get(), ZSTD_c_compressionLevel, kLevel);
  std::ifstream file(path, std::ios::binary);
  std::string in(std::size_t{1} << 20, '\0');
  std::string space(ZSTD_CStreamOutSize(), '\0');
  std::uint64_t bytes = 0;
  for (bool last = false; !last;) {
    file.read(in.data(), static_cast<std::streamsize>(in.size()));
    last = !file;
    ZSTD_inBuffer input{in.data(), static_cast<std::size_t>(file.gcount()), 0};
    for (std::size_t left = 1; last ? left > 0 : input.pos < input.size;) {
      ZSTD_outBuffer output{space.data(), space.size(), 0};
      left = ZSTD_compressStream2(zstd.get(), &output, &input, last ? ZSTD_e_end : ZSTD_e_continue);
      bytes += output.pos;
    }
  }
  return bytes;
}

}  // namespace

std::size_t BytesOf(const Runs& runs) {
  std::size_t bytes = 0;
  for (const std::string& run : runs) bytes += run.size();
  return bytes;
}

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
    if ((i + 1) % kRunFrames == 0 || i + 1 == frames.size()) {
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
      sum = Digest(sum, frame);
    }
  }
  return sum;
}

Runs WriteMessages(const std::vector<Frame>& frames) {
  Runs runs;
  WallTime previous{};
  for (std::size_t i = 0; i < frames.size(); i += kRunFrames) {
    const std::size_t count = std::min(kRunFrames, frames.size() - i);
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
      sum = Digest(sum, frame);
    }
  }
  return sum;
}

std::uint64_t CaptureBytes(const std::vector<Frame>& frames, const std::string& folder) {
  const std::string path = folder + "/capture.pcapng";
  PosixFiles files;
  auto writer = output::CaptureWriter::Create(files, path, "benchmark");
  Require(writer.status());
  std::vector<bool> known(256);
  for (const Frame& frame : frames) {
    if (!known[frame.channel]) {
      session::Channel channel;
      channel.number = frame.channel;
      Require((*writer)->AddChannel(channel));
      known[frame.channel] = true;
    }
    Require((*writer)->AddFrame(frame));
  }
  Require((*writer)->Finish());
  const std::uint64_t bytes = CompressedBytes(path);
  std::filesystem::remove(path);
  return bytes;
}

}  // namespace proofdrive::benchmarks
