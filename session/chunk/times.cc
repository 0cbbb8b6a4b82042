#include "session/chunk/times.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <optional>

namespace proofdrive::session {
namespace {

// Beyond this span (in units) the product of row and period could overflow: no grid.
constexpr std::uint64_t kMaxGridSpan = 10'000'000'000'000;

std::uint64_t Bits(std::int64_t value) { return static_cast<std::uint64_t>(value); }
std::int64_t Signed(std::uint64_t value) { return static_cast<std::int64_t>(value); }

std::uint64_t GridAt(std::uint64_t period, std::size_t row) { return (row * period) >> 16; }

std::uint32_t BytesFor(std::uint64_t value) {
  return static_cast<std::uint32_t>((std::bit_width(value) + 7) / 8);
}

// Moves the residuals so that the smallest is 0 and returns what was taken away.
std::int64_t MakeNonNegative(std::vector<std::uint64_t>& residuals) {
  std::int64_t least = residuals.empty() ? 0 : Signed(residuals.front());
  for (const std::uint64_t residual : residuals) least = std::min(least, Signed(residual));
  for (std::uint64_t& residual : residuals) residual -= Bits(least);
  return least;
}

std::uint64_t TotalBits(std::span<const std::uint64_t> residuals) {
  std::uint64_t bits = 0;
  for (const std::uint64_t residual : residuals) {
    bits += static_cast<std::uint64_t>(std::bit_width(residual));
  }
  return bits;
}

void FinishPattern(TimePattern& pattern, std::vector<std::uint64_t>& residuals) {
  pattern.offset = MakeNonNegative(residuals);
  std::uint64_t all = 0;
  for (const std::uint64_t residual : residuals) all |= residual;
  pattern.planes = BytesFor(all);
}

TimePattern FitSteps(std::span<const std::int64_t> times, std::vector<std::uint64_t>& residuals) {
  residuals.resize(times.size() - 1);
  for (std::size_t i = 1; i < times.size(); ++i) {
    residuals[i - 1] = Bits(times[i]) - Bits(times[i - 1]);
  }
  TimePattern pattern{TimeCoding::kSteps, times[0], 0, 0, 0};
  FinishPattern(pattern, residuals);
  return pattern;
}

// Sum of the times from the first on. REQUIRES: none is further from `first` than kMaxGridSpan.
std::int64_t SumFrom(std::int64_t first, std::span<const std::int64_t> times) {
  std::int64_t sum = 0;
  for (const std::int64_t time : times) sum += time - first;
  return sum;
}

bool AllNear(std::span<const std::int64_t> times) {
  const auto [least, most] = std::minmax_element(times.begin(), times.end());
  return Bits(*most) - Bits(*least) <= kMaxGridSpan;
}

// Units per row: from the middle of the first half of the times to the middle of the second half.
// nullopt when a grid cannot be used.
std::optional<double> FitPeriod(std::span<const std::int64_t> times) {
  if (!AllNear(times)) return std::nullopt;
  const std::size_t half = times.size() / 2;
  const std::int64_t early = SumFrom(times[0], times.first(half));
  const std::int64_t late = SumFrom(times[0], times.last(half));
  const double distance = static_cast<double>(times.size() - half);  // in rows
  const double period = static_cast<double>(late - early) / static_cast<double>(half) / distance;
  const bool usable =
      period >= 0 && period * static_cast<double>(times.size()) <= 1.0 * kMaxGridSpan;
  return usable ? std::optional<double>(period) : std::nullopt;
}

}  // namespace

std::size_t ResidualCount(TimeCoding coding, std::size_t rows) {
  return coding == TimeCoding::kGrid ? rows : rows - 1;
}

TimePattern FitTimes(std::span<const std::int64_t> times, std::vector<std::uint64_t>& residuals) {
  const TimePattern steps = FitSteps(times, residuals);
  const std::optional<double> period = times.size() > 2 ? FitPeriod(times) : std::nullopt;
  if (!period || steps.planes == 0) return steps;
  TimePattern grid{TimeCoding::kGrid, times[0], 0,
                   static_cast<std::uint64_t>(std::llround(*period * 65536)), 0};
  std::vector<std::uint64_t> from_grid(times.size());
  for (std::size_t i = 0; i < times.size(); ++i) {
    from_grid[i] = Bits(times[i]) - Bits(times[0]) - GridAt(grid.period, i);
  }
  FinishPattern(grid, from_grid);
  if (TotalBits(from_grid) >= TotalBits(residuals)) return steps;
  residuals = std::move(from_grid);
  return grid;
}

void RebuildTimes(const TimePattern& pattern, std::span<const std::uint64_t> residuals,
                  std::span<std::int64_t> times) {
  std::uint64_t time = Bits(pattern.first);
  if (pattern.coding == TimeCoding::kGrid) {
    time += Bits(pattern.offset);
    for (std::size_t i = 0; i < times.size(); ++i) {
      times[i] = Signed(time + GridAt(pattern.period, i) + residuals[i]);
    }
    return;
  }
  times[0] = pattern.first;
  for (std::size_t i = 1; i < times.size(); ++i) {
    time += Bits(pattern.offset) + residuals[i - 1];
    times[i] = Signed(time);
  }
}

}  // namespace proofdrive::session
