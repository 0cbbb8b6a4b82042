// The lowest, highest and mean value of each short stretch of a long row: what a plot of limited
// width can show, in memory that does not grow with the length of the recording.
#pragma once

#include <cstdint>
#include <vector>

#include "core/base/time.h"

namespace proofdrive::analysis {

struct EnvelopePoint {
  Duration at{0};  // session time of the first value of the stretch
  double low = 0;
  double high = 0;
  double mean = 0;
};

class Envelope {
 public:
  // At most `capacity` stretches of equal width; the width doubles whenever they do not suffice.
  // REQUIRES: capacity is even and not zero.
  explicit Envelope(std::size_t capacity) : capacity_(capacity) {}

  // `at` is not negative; values that are no finite number are left out.
  void Add(Duration at, double value);

  // Stretches that hold values, in order of time.
  std::vector<EnvelopePoint> Points() const;
  Duration width() const { return width_; }

 private:
  struct Stretch {
    Duration first{0};
    double low = 0;
    double high = 0;
    double sum = 0;
    std::uint64_t count = 0;

    void Take(const Stretch& later);
    void Take(Duration at, double value);
  };
  void HalveResolution();
  void Enter(Duration at);

  std::size_t capacity_;
  Duration width_ = std::chrono::milliseconds(1);
  std::vector<Stretch> stretches_;  // number i begins at i * width_
  // The one of the last value: most values need no division to find theirs.
  Duration begin_{0}, end_{0};
  std::size_t index_ = 0;
};

}  // namespace proofdrive::analysis
