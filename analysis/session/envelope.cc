#include "analysis/session/envelope.h"

#include <algorithm>
#include <cmath>

namespace proofdrive::analysis {

void Envelope::Stretch::Take(const Stretch& later) {
  if (later.count == 0) return;
  if (count == 0) {
    *this = later;
    return;
  }
  low = std::min(low, later.low);
  high = std::max(high, later.high);
  sum += later.sum;
  count += later.count;
}

void Envelope::Add(Duration at, double value) {
  if (!std::isfinite(value)) return;
  while (static_cast<std::size_t>(at / width_) >= capacity_) HalveResolution();
  const auto index = static_cast<std::size_t>(at / width_);
  if (index >= stretches_.size()) stretches_.resize(index + 1);
  stretches_[index].Take({at, value, value, value, 1});
}

void Envelope::HalveResolution() {
  width_ *= 2;
  const std::size_t half = (stretches_.size() + 1) / 2;
  for (std::size_t i = 0; i < half; ++i) {
    Stretch merged = stretches_[2 * i];
    if (2 * i + 1 < stretches_.size()) merged.Take(stretches_[2 * i + 1]);
    stretches_[i] = merged;
  }
  stretches_.resize(half);
}

std::vector<EnvelopePoint> Envelope::Points() const {
  std::vector<EnvelopePoint> points;
  for (const Stretch& one : stretches_) {
    if (one.count == 0) continue;
    points.push_back({one.first, one.low, one.high, one.sum / static_cast<double>(one.count)});
  }
  return points;
}

}  // namespace proofdrive::analysis
