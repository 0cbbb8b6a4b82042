#include "output/text/fault_text.h"

#include "core/base/text.h"
#include "output/sheet/table.h"

namespace proofdrive::output {

std::vector<NamedFaults> FramesWithFaults(const decoders::Definitions& definitions,
                                          const std::vector<decoders::FrameFaults>& faults) {
  std::vector<NamedFaults> named;
  for (std::size_t i = 0; i < faults.size(); ++i) {
    const decoders::FrameFaults& one = faults[i];
    if (!one.any()) continue;
    const decoders::FrameDefinition& frame = definitions.frames[i];
    const auto flags = static_cast<std::uint8_t>(frame.extended ? kExtendedId : 0);
    named.push_back({frame.name, FormatId(frame.id, flags), one});
  }
  return named;
}

std::string FormatFaults(const std::vector<NamedFaults>& faults) {
  using Align = Table::Align;
  if (faults.empty()) return "No counter, checksum or length faults in the whole session.\n";
  Table table({{"FRAME"},
               {"ID"},
               {"RECEIVED", Align::kRight},
               {"COUNTER", Align::kRight},
               {"CHECKSUM", Align::kRight},
               {"LENGTH", Align::kRight}});
  for (const NamedFaults& one : faults) {
    table.Add({one.frame, one.id, FormatCount(one.faults.frames),
               FormatCount(one.faults.counter_faults), FormatCount(one.faults.checksum_faults),
               FormatCount(one.faults.wrong_length)});
  }
  return "Frames with faults, in the whole session (a frame whose checksum fails gives no "
         "values)\n\n" +
         table.Format();
}

}  // namespace proofdrive::output
