// Writes sessions that use every part of the format: all kinds of frame, several chunks, both
// codings of order and time, events, channels; complete, interrupted with a journal, and a
// recording in three parts.
#include <cstdio>
#include <random>
#include <string>

#include "core/base/posix_files.h"
#include "session/model/parts.h"
#include "session/writer.h"

namespace {

using proofdrive::Frame;
using namespace proofdrive::session;

constexpr std::uint64_t kSeed = 4711;
constexpr std::size_t kFrames = 3000;
constexpr std::uint32_t kParts = 3;

Frame MakeFrame(std::mt19937_64& random, std::int64_t& now) {
  Frame frame;
  const std::uint64_t kind = random() % 8;
  frame.id = static_cast<std::uint32_t>(0x100 + random() % 12);
  frame.channel = static_cast<std::uint8_t>(random() % 2);
  frame.length = 8;
  if (kind == 0) frame.flags = proofdrive::kFlexibleData | proofdrive::kBitRateSwitch;
  if (kind == 0) frame.length = 48;
  if (kind == 1) frame.flags = proofdrive::kRemote;
  if (kind == 2) frame.flags = proofdrive::kErrorMessage;
  if (kind == 3) frame.flags = proofdrive::kExtendedId | proofdrive::kSentHere;
  if (kind == 4) frame.raw_dlc = 11;
  if (kind == 5) frame.length = static_cast<std::uint8_t>(random() % 8);
  for (std::size_t i = 0; i < frame.payload().size(); ++i) {
    frame.data[i] = static_cast<std::uint8_t>(random() % 4 == 0 ? random() : i);
  }
  const std::uint64_t step = random() % 100;
  if (step == 0) now -= 2'000'000;
  if (step > 3) now += static_cast<std::int64_t>(random() % 400) * 1000;
  frame.time = proofdrive::WallFromNanoseconds(now);
  return frame;
}

// CRC-8 SAE J1850 of two bytes.
std::uint8_t Crc8(std::uint8_t first, std::uint8_t second) {
  unsigned crc = 0xFF;
  for (const std::uint8_t byte : {first, second}) {
    crc ^= byte;
    for (int bit = 0; bit < 8; ++bit) crc = (crc << 1) ^ ((crc & 0x80) != 0 ? 0x11DU : 0U);
  }
  return static_cast<std::uint8_t>(~crc);
}

// Regular streams in between, for the grid of times and the order by time alone; with a checksum of
// each kind that is predicted, now and then a wrong one.
Frame RegularFrame(std::size_t i, std::int64_t now) {
  Frame frame;
  frame.id = static_cast<std::uint32_t>(0x2A1 + i % 3);
  frame.length = 3;
  frame.data[1] = static_cast<std::uint8_t>(now >> 20);
  frame.data[2] = static_cast<std::uint8_t>(frame.id == 0x2A2 ? i / 3 : 0);
  const unsigned sum = frame.data[1] + frame.data[2] + 0x44U;
  frame.data[0] = frame.id == 0x2A1   ? static_cast<std::uint8_t>(frame.data[1] ^ 0x33)
                  : frame.id == 0x2A2 ? static_cast<std::uint8_t>(sum)
                                      : Crc8(frame.data[1], frame.data[2]);
  if (i % 97 == 5) frame.data[0] ^= 0x10;
  frame.time = proofdrive::WallFromNanoseconds(now);
  return frame;
}

proofdrive::Status Fill(Writer& writer) {
  std::mt19937_64 random(kSeed + writer.header().part);
  std::int64_t now = 1'700'000'000'000'000'000;
  for (std::size_t i = 0; i < kFrames; ++i) {
    Frame frame = i % 1000 < 500 ? MakeFrame(random, now) : RegularFrame(i, now += 10'000'000);
    // Late frames of one channel, too many for moves: the order as stream numbers.
    if (i >= 2000 && frame.channel == 1) frame.time -= std::chrono::milliseconds(50);
    RETURN_IF_ERROR(writer.Append({&frame, 1}));
    if (i % 400 != 0) continue;
    Event event;
    event.time = frame.time;
    event.kind = EventKind::kMark;
    event.text = "mark " + std::to_string(i);
    if (i % 800 == 0) event.data = "{\"mark\":" + std::to_string(i) + "}";
    RETURN_IF_ERROR(writer.AddEvent(event));
  }
  if (!writer.header().channels.empty()) return proofdrive::Status::Ok();
  return writer.AddChannel({1, "bench1", "drive", 500000, 0, false, "simulated"});
}

Header MakeHeader(proofdrive::Duration resolution) {
  Header header;
  header.name = "bench (invented)";
  header.resolution = resolution;
  header.definitions.push_back({"bramble.yaml", "vehicle: Bramble Seven (invented)\n"});
  return header;
}

enum class End { kFinish, kGoOn, kInterrupt };

// `header` becomes that of the written session.
proofdrive::Status Make(const std::string& path, End end, Header& header) {
  proofdrive::PosixFiles files;
  WriterOptions options;
  options.frames_per_chunk = 700;
  ASSIGN_OR_RETURN(const auto writer, Writer::Create(files, path, header, options));
  RETURN_IF_ERROR(Fill(*writer));
  header = writer->header();
  if (end == End::kGoOn) writer->SetContinued();
  return end == End::kInterrupt ? writer->Sync() : writer->Finish();
}

// The power fails during the last part.
proofdrive::Status MakeParts(const std::string& first, Header header) {
  for (header.part = 1; header.part <= kParts; ++header.part) {
    header.id.clear();
    const End end = header.part < kParts ? End::kGoOn : End::kInterrupt;
    RETURN_IF_ERROR(Make(PartPath(first, header.part), end, header));
  }
  return proofdrive::Status::Ok();
}

proofdrive::Status MakeAll(const std::string& folder) {
  Header coarse = MakeHeader(std::chrono::microseconds(1));
  Header fine = MakeHeader(std::chrono::nanoseconds(1));
  RETURN_IF_ERROR(Make(folder + "/complete.session", End::kFinish, coarse));
  RETURN_IF_ERROR(Make(folder + "/interrupted.session", End::kInterrupt, fine));
  return MakeParts(folder + "/split.session", MakeHeader(std::chrono::microseconds(1)));
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 2) return 2;
  const proofdrive::Status status = MakeAll(argv[1]);
  if (!status.ok()) std::fprintf(stderr, "%s\n", status.message().c_str());
  return status.ok() ? 0 : 2;
}
