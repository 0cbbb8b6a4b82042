// Which frames a warning depends on.
#pragma once

#include <cstdint>
#include <string_view>
#include <vector>

#include "decoders/model/definitions.h"

namespace proofdrive::analysis {

// Indices into Definitions::signals of every signal whose name occurs in the text of a condition;
// sorted, without repeats.
std::vector<std::uint32_t> SignalsIn(const decoders::Definitions& definitions,
                                     std::string_view condition);

// Indices into Definitions::frames of the frames that carry those signals; for a computed signal
// those of its formula. Sorted, without repeats.
std::vector<std::uint32_t> FramesIn(const decoders::Definitions& definitions,
                                    std::string_view condition);

// The same for all conditions under which the warning is on.
std::vector<std::uint32_t> FramesOf(const decoders::Definitions& definitions,
                                    const decoders::Warning& warning);

}  // namespace proofdrive::analysis
