// Counter, checksum and length faults of defined frames, as one table for every command.
#pragma once

#include <string>
#include <vector>

#include "decoders/model/definitions.h"
#include "decoders/signals/decoder.h"

namespace proofdrive::output {

struct NamedFaults {
  std::string frame;
  std::string id;  // as FormatId shows it
  decoders::FrameFaults faults;
};

// The frames that have any fault, in order of definition. `faults` has one entry per frame of
// `definitions`, as Decoder::faults() gives it.
std::vector<NamedFaults> FramesWithFaults(const decoders::Definitions& definitions,
                                          const std::vector<decoders::FrameFaults>& faults);

// For people: the table, or a sentence that there are none; ends in a newline.
std::string FormatFaults(const std::vector<NamedFaults>& faults);

}  // namespace proofdrive::output
