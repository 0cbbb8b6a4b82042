// rig_witness INTERFACE FRAMES LIST: lists what the kernel delivers until FRAMES have come, or none
// has come for 5 s. Exit 0 when all came and the kernel dropped none.
#include <cstdio>
#include <cstdlib>
#include <string>

#include "tests/rig/can_port.h"
#include "tests/rig/frame_list.h"

namespace proofdrive::rig {
namespace {

int Fail(const Status& status) {
  std::fprintf(stderr, "rig_witness: %s\n", status.message().c_str());
  return 1;
}

int Run(const std::string& interface, unsigned long wanted, const std::string& path) {
  CanPort port;
  if (const Status status = port.Open(interface); !status.ok()) return Fail(status);
  FrameList list;
  if (const Status status = list.Open(path); !status.ok()) return Fail(status);
  std::printf("listening on %s\n", interface.c_str());
  std::fflush(stdout);
  unsigned long seen = 0;
  while (seen < wanted) {
    const Result<Frame> frame = port.Receive(5'000);
    if (!frame.ok()) break;
    list.Add(*frame);
    ++seen;
  }
  if (const Status status = list.Close(); !status.ok()) return Fail(status);
  std::printf("%lu of %lu frames, %u dropped\n", seen, wanted, port.dropped());
  return seen == wanted && port.dropped() == 0 ? 0 : 1;
}

}  // namespace
}  // namespace proofdrive::rig

int main(int argc, char** argv) {
  if (argc != 4) return 2;
  return proofdrive::rig::Run(argv[1], std::strtoul(argv[2], nullptr, 10), argv[3]);
}
