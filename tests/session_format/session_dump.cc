// Prints a recording frame by frame, to be compared with what another reader prints.
#include <cstdio>

#include "core/base/posix_files.h"
#include "core/base/text.h"
#include "session/recording_reader.h"

namespace {

using proofdrive::Frame;
using proofdrive::HexBytes;

void PrintFrame(const Frame& frame) {
  std::printf("frame %lld %u %u %u %u %u %s\n",
              static_cast<long long>(proofdrive::ToNanoseconds(frame.time)), frame.channel,
              frame.id, frame.flags, frame.length, frame.raw_dlc,
              HexBytes(frame.payload(), "").c_str());
}

int Dump(const char* path) {
  proofdrive::PosixFiles files;
  auto reader = proofdrive::session::OpenRecording(files, path);
  if (!reader.ok()) {
    std::fprintf(stderr, "%s\n", reader.status().message().c_str());
    return 2;
  }
  std::printf("session %s\n", (*reader)->header().id.c_str());
  for (const auto& event : (*reader)->events()) {
    std::printf(
        "event %lld %u %s %s\n", static_cast<long long>(proofdrive::ToNanoseconds(event.time)),
        static_cast<unsigned>(event.kind), HexBytes(proofdrive::AsBytes(event.text), "").c_str(),
        HexBytes(proofdrive::AsBytes(event.data), "").c_str());
  }
  const proofdrive::Status status = (*reader)->ForEachFrame([](const Frame& frame) {
    PrintFrame(frame);
    return true;
  });
  return status.ok() ? 0 : 2;
}

}  // namespace

int main(int argc, char** argv) { return argc == 2 ? Dump(argv[1]) : 2; }
