// Finds bits of a frame that two things claim.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "decoders/authoring/reporter.h"
#include "decoders/model/definitions.h"

namespace proofdrive::decoders {

// Page numbers first..last.
struct PageRange {
  std::uint64_t first = 0;
  std::uint64_t last = 0;
};

// Something that uses bits of a frame.
struct BitUse {
  std::string name;  // "signal \"pack_voltage\"", for messages
  Location location;
  Mark mark;
  std::vector<PageRange> pages;  // it is on, outermost first; empty: on every page
  bool may_overlap = false;
};

// Reports each pair once, at the later of the two.
void CheckOverlaps(const std::vector<BitUse>& uses, Reporter& reporter);

}  // namespace proofdrive::decoders
