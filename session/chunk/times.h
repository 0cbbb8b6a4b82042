// The times of one stream within one chunk: a regular pattern and small residuals.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "core/base/result.h"
#include "session/model/layout.h"

namespace proofdrive::session {

// How to rebuild time[i] (all arithmetic modulo 2^64):
//   steps: time[0] = first; time[i] = time[i-1] + offset + residual[i-1]
//   grid:  time[i] = first + offset + (i * period >> 16) + residual[i]
struct TimePattern {
  TimeCoding coding = TimeCoding::kSteps;
  std::int64_t first = 0;
  std::int64_t offset = 0;
  std::uint64_t period = 0;
  std::uint32_t planes = 0;  // bytes of a residual
};

// Residuals stored for `rows` times.
std::size_t ResidualCount(TimeCoding coding, std::size_t rows);

// Fits the pattern that leaves the smaller residuals. REQUIRES: !times.empty().
TimePattern FitTimes(std::span<const std::int64_t> times, std::vector<std::uint64_t>& residuals);

// REQUIRES: residuals.size() == ResidualCount(pattern.coding, times.size()), !times.empty().
void RebuildTimes(const TimePattern& pattern, std::span<const std::uint64_t> residuals,
                  std::span<std::int64_t> times);

}  // namespace proofdrive::session
