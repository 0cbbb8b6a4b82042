// Any bytes as a capture file (pcapng or classic pcap): importing them must end, and what was
// imported must be a complete session with as many frames as the report says.
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <vector>

#include "output/pcapng/import.h"
#include "session/recovery.h"
#include "tests/support/memory_files.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  proofdrive::testing::MemoryFiles files;
  files.Put("d/x.pcapng", std::vector<std::uint8_t>(data, data + size));
  proofdrive::output::ImportOptions options;
  options.capture = "d/x.pcapng";
  options.session = "d/x.session";
  const auto report = proofdrive::output::ImportCapture(files, options);
  if (!report.ok()) return 0;
  const auto verified = proofdrive::session::Verify(files, options.session);
  if (!verified.ok() || verified->state != proofdrive::session::State::kComplete ||
      verified->frames != report->frames) {
    std::abort();
  }
  return 0;
}
