// Puts the signals of a recording into other layouts, by lot: a survey must not learn the bench.
#pragma once

#include <cstdint>

#include "tests/survey/truth.h"

namespace proofdrive::survey_tests {

struct Layout {
  ByteOrder order = ByteOrder::kBig;
  unsigned most_gap = 0;  // bits that stay empty before a field: 0 to this
  std::uint64_t seed = 1;
};

// Signals of frames that come equally often are mixed, put one after the other into frames of 8
// bytes, and protected by a counter and a check that are drawn by lot. Pages stay pages.
Recording Repack(const Recording& recording, const Layout& layout);

}  // namespace proofdrive::survey_tests
