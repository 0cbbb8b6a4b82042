// What it costs to describe a run of bits as one number: the minimum description length (Rissanen
// 1978) of its successive differences. A number changes by little steps; cut in two it pays for its
// carries, and two numbers joined pay for wild differences of the joined value. That carries betray
// a number is the idea of the flip rates of Stone et al. 2018 (arXiv 1904.03078) and Marchetti and
// Stabili 2019; the cost replaces their threshold. The weights are our own measurement.
#pragma once

#include <cstdint>
#include <vector>

#include "analysis/survey/rows/bit_line.h"
#include "analysis/survey/rows/payload_rows.h"

namespace proofdrive::analysis::survey {

inline constexpr std::size_t kWidestField = 32;

// In bits, unless said otherwise.
struct CostWeights {
  double field = 0.3;          // of every field, in log2 of the pairs
  double parameter = 0.5;      // of every class of differences, in log2 of the pairs
  double at_nibble = 3;        // lowest bit is bit 4 of a byte
  double at_other = 5;         // lowest bit is neither bit 0 nor bit 4
  double constant_most = 15;   // of a constant bit inside, at most,
  double constant_base = 2;    // and else this
  double constant_each = 1.5;  // and this for every change of the nearest bit above
  double noisy_narrow = 24;    // of one to three bits that change in a fifth of the pairs or more,
  double noisy_pair = 0.25;    // and this for every pair
  double flag = -8;            // of a field of one bit
  std::size_t most_pairs = 12000;
};

// Pairs of rows in which a bit that is not taken changes, at most about weights.most_pairs: blocks
// from all over the rows, and every pair in which a rare bit changes. Numbers of the earlier rows.
std::vector<std::uint32_t> TellingPairs(const PayloadRows& rows, const BitSet& taken,
                                        const BitCounts& flips, std::size_t most);

// The costs of all runs that may be fields. Linear in the pairs.
class FieldCosts {
 public:
  // `free`: may belong to a field. `changed`: a field begins and ends with such a bit.
  FieldCosts(const BitLine& line, const PayloadRows& rows, const std::vector<std::uint32_t>& pairs,
             const BitSet& taken, const BitCounts& flips, const CostWeights& weights);

  const BitLine& line() const { return line_; }
  // No field: kNever.
  double Of(std::size_t first, std::size_t width) const {
    return costs_[(first + width - 1) * (kWidestField + 1) + width];
  }
  bool Starts(std::size_t position) const { return starts_[position]; }
  bool MaySkip(std::size_t position) const { return !starts_[position]; }

  static constexpr double kNever = 1e30;

 private:
  struct Differences;
  void FillEndingAt(std::size_t last, const LineRows& old_rows, const LineRows& new_rows);
  double DescribeDifferences(const std::vector<std::int32_t>& differences, unsigned width) const;
  double Surcharge(std::size_t last, std::size_t width) const;

  BitLine line_;
  CostWeights weights_;
  double pairs_ = 0;
  double log_pairs_ = 0;
  std::vector<bool> starts_;  // changes and is not taken
  std::vector<bool> taken_;
  std::vector<std::uint32_t> flips_;  // along the line
  std::vector<double> costs_;
};

}  // namespace proofdrive::analysis::survey
