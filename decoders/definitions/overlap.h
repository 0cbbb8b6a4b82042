// Finds bits of a frame that two things claim.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "decoders/definitions/definitions.h"
#include "decoders/definitions/reporter.h"

namespace proofdrive::decoders {

// Something that uses bits of a frame, on the pages first_page to last_page.
struct BitUse {
  std::string name;  // "signal \"pack_voltage\"", for messages
  Location location;
  Mark mark;
  std::uint64_t first_page = 0;
  std::uint64_t last_page = ~std::uint64_t{0};
  bool may_overlap = false;
};

// Reports each pair once, at the later of the two.
void CheckOverlaps(const std::vector<BitUse>& uses, Reporter& reporter);

}  // namespace proofdrive::decoders
