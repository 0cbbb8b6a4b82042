#include "analysis/survey/protection/counter_search.h"

#include <algorithm>

namespace proofdrive::analysis::survey {
namespace {

constexpr std::size_t kWidestCounter = 16;
constexpr double kLeastShare = 0.97;
constexpr double kLeastShareWide = 0.99;
constexpr std::size_t kLongRise = 32;  // values

// Whether the highest value is followed by 0 at least once.
bool Wraps(const std::vector<std::uint64_t>& values, const std::vector<std::uint32_t>& pairs,
           std::uint64_t highest) {
  return std::any_of(pairs.begin(), pairs.end(), [&](std::uint32_t pair) {
    return values[pair] == highest && values[pair + 1] == 0;
  });
}

// When all bits below the highest one are set, that one has to change next: else it is not part of
// the counter but above it.
bool CarriesToTop(const std::vector<std::uint64_t>& values, const std::vector<std::uint32_t>& pairs,
                  std::size_t width, std::uint64_t modulus) {
  const std::uint64_t below = (std::uint64_t{1} << (width - 1)) - 1;
  std::size_t due = 0;
  std::size_t carried = 0;
  for (const std::uint32_t pair : pairs) {
    if ((values[pair] & below) != below || (values[pair + 1] & below) != 0) continue;
    ++due;
    carried += values[pair + 1] == (values[pair] + 1) % modulus ? 1U : 0U;
  }
  return due > 0 && 10 * carried >= 8 * due;
}

// The counter at this run, if it is one.
std::optional<FoundCounter> CounterAt(const BitLine& line, const Run& run, const PayloadRows& rows,
                                      const std::vector<std::uint32_t>& pairs) {
  const std::vector<std::uint64_t> values = ValuesOf(line, run, rows.bytes);
  const std::uint64_t all = std::uint64_t{1} << run.width;
  std::vector<bool> used(all);
  for (const std::uint64_t value : values) used[value] = true;
  const std::uint64_t highest = *std::max_element(values.begin(), values.end());
  const bool every =
      std::all_of(used.begin(), used.begin() + static_cast<std::ptrdiff_t>(highest) + 1,
                  [](bool one) { return one; });
  // A byte that only goes up is taken for a counter when it was seen to do so for long enough.
  const auto different = static_cast<std::size_t>(std::count(used.begin(), used.end(), true));
  if (run.width <= 8 && !every && different < kLongRise) return std::nullopt;
  const bool full = every && Wraps(values, pairs, highest);
  const std::uint64_t modulus = full ? highest + 1 : all;
  if (!CarriesToTop(values, pairs, run.width, modulus)) return std::nullopt;
  std::size_t counts = 0;
  std::size_t wraps = 0;
  for (const std::uint32_t pair : pairs) {
    if (values[pair + 1] != (values[pair] + 1) % modulus) continue;
    ++counts;
    wraps += values[pair + 1] == 0 ? 1U : 0U;
  }
  const double share = static_cast<double>(counts) / static_cast<double>(pairs.size());
  if (share < (modulus > 256 || !full ? kLeastShareWide : kLeastShare)) return std::nullopt;
  if (modulus <= 256 && wraps < 2 && different < kLongRise) return std::nullopt;
  if (modulus < 3) return std::nullopt;
  return FoundCounter{line.LocationOf(run), modulus - 1, share};
}

std::optional<FoundCounter> WidestEndingAt(const BitLine& line, std::size_t last,
                                           const PayloadRows& rows, const BitSet& taken,
                                           const BitCounts& flips,
                                           const std::vector<std::uint32_t>& pairs) {
  std::size_t widest = 0;
  while (widest < kWidestCounter && widest <= last) {
    const BitPlace place = line.PlaceOf(last - widest);
    if (taken.Has(place.byte, place.bit) || flips[8 * place.byte + place.bit] == 0) break;
    ++widest;
  }
  for (std::size_t width = widest; width >= 2; --width) {
    if (auto found = CounterAt(line, {last + 1 - width, width}, rows, pairs)) return found;
  }
  return std::nullopt;
}

}  // namespace

std::vector<FoundCounter> FindCounters(const PayloadRows& rows, const BitSet& taken,
                                       const BitCounts& flips) {
  std::vector<FoundCounter> found;
  const std::vector<std::uint32_t> pairs = Pairs(rows);
  if (pairs.empty()) return found;
  for (const ByteOrder order : {ByteOrder::kBig, ByteOrder::kLittle}) {
    const BitLine line(rows.stride, order);
    for (std::size_t last = 0; last < line.size(); ++last) {
      const BitPlace place = line.PlaceOf(last);
      // The lowest bit of a counter flips with every frame, or nearly so.
      if (3 * flips[8 * place.byte + place.bit] < 2 * pairs.size() * 97 / 100) continue;
      const auto counter = WidestEndingAt(line, last, rows, taken, flips, pairs);
      if (!counter) continue;
      const bool known = std::any_of(found.begin(), found.end(), [&](const FoundCounter& other) {
        return other.location == counter->location;
      });
      if (!known) found.push_back(*counter);
    }
  }
  std::stable_sort(found.begin(), found.end(), [](const FoundCounter& a, const FoundCounter& b) {
    return a.location.bits() > b.location.bits();
  });
  return found;
}

}  // namespace proofdrive::analysis::survey
