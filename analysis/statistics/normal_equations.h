// Least squares with several terms, by sums that can be added up and taken away again.
#pragma once

#include <array>
#include <cmath>
#include <cstddef>
#include <optional>

namespace proofdrive::analysis {

// Sums of products of `kTerms` terms with each other and with what they explain, each about its
// mean.
template <std::size_t kTerms>
struct NormalEquations {
  using Terms = std::array<double, kTerms>;

  std::array<Terms, kTerms> xx = {};
  Terms xy = {};

  void Add(const Terms& x, double y) {
    for (std::size_t i = 0; i < kTerms; ++i) {
      for (std::size_t j = 0; j < kTerms; ++j) xx[i][j] += x[i] * x[j];
      xy[i] += x[i] * y;
    }
  }
  // `sign` 1 or -1.
  void Add(const NormalEquations& other, double sign) {
    for (std::size_t i = 0; i < kTerms; ++i) {
      for (std::size_t j = 0; j < kTerms; ++j) xx[i][j] += sign * other.xx[i][j];
      xy[i] += sign * other.xy[i];
    }
  }

  // Slopes, by elimination. Terms that cannot be told apart share what they explain; nullopt when
  // the first one does not vary.
  std::optional<Terms> Solve() const {
    NormalEquations left = *this;
    if (!left.Eliminate()) return std::nullopt;
    Terms slopes = {};
    for (std::size_t i = kTerms; i-- > 0;) {
      double rest = left.xy[i];
      for (std::size_t j = i + 1; j < kTerms; ++j) rest -= left.xx[i][j] * slopes[j];
      slopes[i] = rest / left.xx[i][i];
      if (!std::isfinite(slopes[i])) return std::nullopt;
    }
    return slopes;
  }

 private:
  static constexpr double kRidge = 1e-9;  // of the diagonal

  bool Eliminate() {
    if (!(xx[0][0] > 0)) return false;
    for (std::size_t i = 0; i < kTerms; ++i) xx[i][i] += kRidge * (xx[i][i] + kRidge * xx[0][0]);
    for (std::size_t i = 0; i < kTerms; ++i) {
      for (std::size_t row = i + 1; row < kTerms; ++row) {
        const double part = xx[row][i] / xx[i][i];
        for (std::size_t j = i; j < kTerms; ++j) xx[row][j] -= part * xx[i][j];
        xy[row] -= part * xy[i];
      }
    }
    return true;
  }
};

}  // namespace proofdrive::analysis
