// Writes sessions that use every part of the format: all kinds of frame, several chunks, both
// codings of order and time, events, channels; complete, and interrupted with a journal.
#include <cstdio>
#include <random>
#include <string>

#include "core/base/posix_files.h"
#include "session/writer.h"

namespace {

using proofdrive::Frame;
using namespace proofdrive::session;

constexpr std::uint64_t kSeed = 4711;
constexpr std::size_t kFrames = 3000;

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

// One regular stream in between, for the grid of times and the order by time alone.
Frame RegularFrame(std::int64_t now) {
  Frame frame;
  frame.id = 0x2A1;
  frame.length = 2;
  frame.data[0] = static_cast<std::uint8_t>(now >> 20);
  frame.time = proofdrive::WallFromNanoseconds(now);
  return frame;
}

proofdrive::Status Fill(Writer& writer) {
  std::mt19937_64 random(kSeed);
  std::int64_t now = 1'700'000'000'000'000'000;
  for (std::size_t i = 0; i < kFrames; ++i) {
    Frame frame = i % 1000 < 500 ? MakeFrame(random, now) : RegularFrame(now += 10'000'000);
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
  return writer.AddChannel({1, "bench1", "drive", 500000, 0, false, "simulated"});
}

int Make(const std::string& path, bool finish, proofdrive::Duration resolution) {
  proofdrive::PosixFiles files;
  Header header;
  header.name = "bench (invented)";
  header.resolution = resolution;
  header.definitions.push_back({"bramble.yaml", "vehicle: Bramble E3 (invented)\n"});
  WriterOptions options;
  options.frames_per_chunk = 700;
  auto writer = Writer::Create(files, path, header, options);
  proofdrive::Status status = writer.status();
  if (status.ok()) status = Fill(**writer);
  if (status.ok()) status = finish ? (*writer)->Finish() : (*writer)->Sync();
  if (!status.ok()) std::fprintf(stderr, "%s\n", status.message().c_str());
  return status.ok() ? 0 : 2;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 2) return 2;
  const std::string folder = argv[1];
  const int complete = Make(folder + "/complete.session", true, std::chrono::microseconds(1));
  const int interrupted = Make(folder + "/interrupted.session", false, std::chrono::nanoseconds(1));
  return complete + interrupted;
}
