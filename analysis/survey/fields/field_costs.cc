#include "analysis/survey/fields/field_costs.h"

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>

namespace proofdrive::analysis::survey {
namespace {

constexpr std::size_t kBlock = 400;  // pairs that follow each other
constexpr std::uint32_t kRareFlips = 300;

double NLog2(double n) { return n > 0 ? n * std::log2(n) : 0; }

// Masks of the bits that are not taken, and of the rare ones among them.
struct Masks {
  std::vector<std::uint8_t> open;
  std::vector<std::uint8_t> rare;
};

Masks MasksOf(const PayloadRows& rows, const BitSet& taken, const BitCounts& flips) {
  Masks masks{std::vector<std::uint8_t>(rows.stride, 0), std::vector<std::uint8_t>(rows.stride, 0)};
  for (std::size_t byte = 0; byte < rows.stride; ++byte) {
    for (unsigned bit = 0; bit < 8; ++bit) {
      if (taken.Has(byte, bit)) continue;
      const auto mask = static_cast<std::uint8_t>(1U << bit);
      masks.open[byte] = static_cast<std::uint8_t>(masks.open[byte] | mask);
      if (flips[8 * byte + bit] >= kRareFlips) continue;
      masks.rare[byte] = static_cast<std::uint8_t>(masks.rare[byte] | mask);
    }
  }
  return masks;
}

bool AnyChange(const PayloadRows& rows, std::uint32_t pair, const std::vector<std::uint8_t>& mask) {
  const std::uint8_t* old = rows.bytes.data() + pair * rows.stride;
  unsigned any = 0;
  for (std::size_t i = 0; i < rows.stride; ++i)
    any |= static_cast<unsigned>(old[i] ^ old[i + rows.stride]) & mask[i];
  return any != 0;
}

}  // namespace

std::vector<std::uint32_t> TellingPairs(const PayloadRows& rows, const BitSet& taken,
                                        const BitCounts& flips, std::size_t most) {
  const Masks masks = MasksOf(rows, taken, flips);
  std::vector<std::uint32_t> telling;
  for (const std::uint32_t pair : Pairs(rows)) {
    if (AnyChange(rows, pair, masks.open)) telling.push_back(pair);
  }
  if (telling.size() <= most) return telling;
  const std::size_t blocks = std::max<std::size_t>(most / kBlock, 1);
  const std::size_t apart = std::max(telling.size() / blocks, kBlock);
  std::vector<std::uint32_t> kept;
  for (std::size_t i = 0; i < telling.size(); ++i) {
    if (i % apart < kBlock || AnyChange(rows, telling[i], masks.rare)) kept.push_back(telling[i]);
  }
  return kept;
}

FieldCosts::FieldCosts(const BitLine& line, const PayloadRows& rows,
                       const std::vector<std::uint32_t>& pairs, const BitSet& taken,
                       const BitCounts& flips, const CostWeights& weights)
    : line_(line),
      weights_(weights),
      pairs_(static_cast<double>(pairs.size())),
      log_pairs_(std::log2(std::max(2.0, pairs_))),
      starts_(line.size()),
      taken_(line.size()),
      flips_(line.size()),
      costs_(line.size() * (kWidestField + 1), kNever) {
  for (std::size_t position = 0; position < line.size(); ++position) {
    const BitPlace place = line.PlaceOf(position);
    taken_[position] = taken.Has(place.byte, place.bit);
    flips_[position] = flips[8 * place.byte + place.bit];
    starts_[position] = !taken_[position] && flips_[position] > 0;
  }
  std::vector<std::uint32_t> next(pairs);
  for (std::uint32_t& row : next) ++row;
  const LineRows old_rows(line, rows.bytes.data(), pairs);
  const LineRows new_rows(line, rows.bytes.data(), next);
  for (std::size_t last = 0; last < line.size(); ++last) {
    if (starts_[last]) FillEndingAt(last, old_rows, new_rows);
  }
}

void FieldCosts::FillEndingAt(std::size_t last, const LineRows& old_rows,
                              const LineRows& new_rows) {
  std::vector<std::int32_t> differences;
  differences.reserve(old_rows.size());
  for (std::size_t i = 0; i < old_rows.size(); ++i) {
    const auto difference =
        static_cast<std::uint32_t>(new_rows.EndingAt(i, last) - old_rows.EndingAt(i, last));
    if (difference != 0) differences.push_back(static_cast<std::int32_t>(difference));
  }
  for (std::size_t width = 1; width <= std::min(kWidestField, last + 1); ++width) {
    const std::size_t first = last + 1 - width;
    if (taken_[first]) break;
    if (!starts_[first]) continue;
    costs_[last * (kWidestField + 1) + width] =
        DescribeDifferences(differences, static_cast<unsigned>(width)) + Surcharge(last, width);
  }
}

double FieldCosts::DescribeDifferences(const std::vector<std::int32_t>& differences,
                                       unsigned width) const {
  // Differences modulo 2^width, as the nearer of up and down: whether the number is signed makes
  // no difference then. A class is the count of bits of the size of a difference.
  std::array<std::uint32_t, kWidestField + 2> classes{};
  // Signs by the sign of the step before: a value that wavers goes up and down by turns, one that
  // drifts goes one way.
  std::array<std::array<std::uint32_t, 2>, 2> signs{};
  std::uint32_t before = 0;
  const unsigned unused = 32 - width;
  for (const std::int32_t difference : differences) {
    const std::int32_t step =
        static_cast<std::int32_t>(static_cast<std::uint32_t>(difference) << unused) >> unused;
    const std::int32_t sign = step >> 31;
    const auto down = static_cast<std::uint32_t>(-sign);
    const std::uint32_t size = static_cast<std::uint32_t>(step ^ sign) + down;  // also of INT_MIN
    ++classes[static_cast<std::size_t>(std::bit_width(size))];
    signs[before][down] += size != 0 ? 1U : 0U;
    before = size != 0 ? down : before;
  }
  classes[0] += static_cast<std::uint32_t>(pairs_) - static_cast<std::uint32_t>(differences.size());
  double bits = NLog2(pairs_);
  double used = 0;
  for (std::size_t i = 0; i < classes.size(); ++i) {
    if (classes[i] == 0) continue;
    bits -= NLog2(classes[i]);
    if (i > 1) bits += static_cast<double>(i - 1) * classes[i];
    ++used;
  }
  for (const auto& after : signs) {
    if (width == 1) break;
    bits += NLog2(after[0] + after[1]) - NLog2(after[0]) - NLog2(after[1]);
  }
  return bits + (weights_.parameter * used + weights_.field) * log_pairs_;
}

double FieldCosts::Surcharge(std::size_t last, std::size_t width) const {
  const unsigned lowest = line_.PlaceOf(last).bit;
  double bits = lowest == 0 ? 0 : lowest == 4 ? weights_.at_nibble : weights_.at_other;
  if (width == 1) bits += weights_.flag;
  std::uint32_t above = 0;
  for (std::size_t position = last + 1 - width; position <= last; ++position) {
    if (starts_[position]) {
      above = flips_[position];
    } else {
      bits +=
          std::min(weights_.constant_most, weights_.constant_base + weights_.constant_each * above);
    }
  }
  // A flag or a state does not change with every other frame: such bits are the noise at the lower
  // end of a number.
  if (width <= 3 && flips_[last + 1 - width] >= pairs_ / 5) {
    bits += weights_.noisy_narrow + weights_.noisy_pair * pairs_;
  }
  return bits;
}

}  // namespace proofdrive::analysis::survey
