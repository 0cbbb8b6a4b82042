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

void Envelope::Stretch::Take(Duration at, double value) {
  if (count++ == 0) {
    first = at;
    low = high = sum = value;
    return;
  }
  low = std::min(low, value);
  high = std::max(high, value);
  sum += value;
}

void Envelope::Enter(Duration at) {
  while (static_cast<std::size_t>(at / width_) >= capacity_) HalveResolution();
  index_ = static_cast<std::size_t>(at / width_);
  begin_ = width_ * static_cast<std::int64_t>(index_);
  end_ = begin_ + width_;
  if (index_ >= stretches_.size()) stretches_.resize(index_ + 1);
}

void Envelope::Add(Duration at, double value) {
  if (!std::isfinite(value)) return;
  if (at < begin_ || at >= end_) Enter(at);
  stretches_[index_].Take(at, value);
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
