#include "analysis/statistics/neighbour_noise.h"

#include <cmath>
#include <vector>

#include "analysis/statistics/summaries.h"

namespace proofdrive::analysis {

double NeighbourNoise(std::span<const double> values) {
  std::vector<double> steps;
  for (std::size_t i = 1; i < values.size(); ++i) steps.push_back(values[i] - values[i - 1]);
  return RobustSpread(steps, 0) / std::sqrt(2.0);
}

}  // namespace proofdrive::analysis
