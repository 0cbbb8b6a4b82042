// Which bits change at some marks and hardly ever else. A mark is made by hand, so the change comes
// up to two seconds before it. How good a bit looks is compared with the best bit of the recording
// when all marks are shifted round in a circle (max-T over all bits: Westfall and Young 1993),
// which also holds where bits change together.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "analysis/survey/rows/found.h"
#include "analysis/survey/rows/identifiers.h"

namespace proofdrive::analysis::survey {

inline constexpr double kBeforeMark = 2;       // s
inline constexpr double kAfterMark = 0.3;      // s
inline constexpr std::size_t kLeastMarks = 5;  // fewer prove nothing

enum class Direction : std::uint8_t { kAny, kUp, kDown };

struct BitAtMarks {
  std::string bus;
  std::uint32_t id = 0;
  bool extended = false;
  std::uint8_t byte = 0;
  std::uint8_t bit = 0;
  Direction direction = Direction::kAny;  // of the changes that count
  std::size_t hits = 0;                   // marks with such a change
  std::size_t changes = 0;                // such changes in all
  double share_else = 0;                  // of windows anywhere in the recording that have one
  double chance = 1;                      // of so many hits by chance, for this bit alone
  double p = 1;                           // that any bit looks as good by chance
  bool accepted = false;
};

struct MarkAnswer {
  std::size_t marks = 0;         // within the recording
  std::vector<BitAtMarks> bits;  // the best ones first
  std::string notice;            // what is missing for a proof; empty: nothing
};

// `marks`: s, as in PayloadRows. Counters, checks and selectors of `found` are left out.
MarkAnswer FollowMarks(const std::vector<double>& marks, const std::vector<Identifier>& identifiers,
                       const std::vector<FoundFrame>& found, std::size_t most = 20);

}  // namespace proofdrive::analysis::survey
