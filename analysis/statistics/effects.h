// How much two groups of numbers differ, and how sure that is. Pure functions.
//
// Sources: Mann-Whitney and Cliff's delta (Cliff, Psychological Bulletin 114, 1993, from memory);
// equivalence by two one-sided tests (Schuirmann, J. Pharmacokinetics 15, 1987, from memory);
// circular block bootstrap (Politis and Romano, 1992, from memory); adjustment of many p values
// (Benjamini and Hochberg, J. Royal Statistical Society B 57, 1995).
#pragma once

#include <cstdint>
#include <span>
#include <vector>

namespace proofdrive::analysis {

// 2 P(b > a) + P(b = a) - 1: from -1 (all of b below a) to 1. 0 when one is empty.
double CliffsDelta(std::span<const double> a, std::span<const double> b);
// "negligible", "small", "medium", "large": limits 0.147, 0.33, 0.474 (Romano et al. 2006, from
// memory).
const char* EffectName(double delta);

// Two-sided p of the Mann-Whitney test by the normal approximation, with corrections for ties and
// continuity. 1 when one is empty or all values are equal.
double MannWhitneyP(std::span<const double> a, std::span<const double> b);

// Median of all differences b - a (Hodges-Lehmann). REQUIRES: neither is empty, at most some
// thousand each.
double HodgesLehmannShift(std::span<const double> a, std::span<const double> b);

// Are the means closer than `margin`? Welch's t, two one-sided tests.
struct Equivalence {
  double difference = 0;     // mean b - mean a
  double error = 0;          // standard error of the difference
  double freedom = 0;        // Welch-Satterthwaite
  double p_lower = 1;        // that the difference is at or below -margin
  double p_upper = 1;        // that it is at or above margin
  double low = 0, high = 0;  // 90 % interval of the difference
  bool Equivalent() const { return p_lower < 0.05 && p_upper < 0.05; }
};
// REQUIRES: two values or more each, not all equal in both.
Equivalence TestEquivalence(std::span<const double> a, std::span<const double> b, double margin);

// How many independent values a row in order of time is worth: n / (1 + 2 sum of autocorrelations),
// summed until the first one that is not positive. From 1 to n.
double EffectiveSize(std::span<const double> row);

// Mean and standard error by the circular block bootstrap: `resamples` rows made of blocks of
// `block` consecutive values, the row seen as a ring. The same input gives the same result
// (generator: std::mt19937_64 with seed 1).
struct BootstrapMean {
  double mean = 0;
  double error = 0;
  double low = 0, high = 0;  // 2.5 % and 97.5 % percentile of the means of resamples
};
// REQUIRES: row not empty, 1 <= block <= row.size(), resamples > 0.
BootstrapMean BootstrapOfMean(std::span<const double> row, std::size_t block,
                              std::size_t resamples = 2000);

// p values adjusted for their number, in the given order: p * m / rank, never decreasing with p.
std::vector<double> AdjustForMany(std::span<const double> p);

}  // namespace proofdrive::analysis
