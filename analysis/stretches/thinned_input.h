// What the checks need of a whole long recording, in bounded memory: fewer values.
//
// A signal is kept as if it were sent less often: every value at first, then every second, every
// fourth and so on; besides the values around a silence and the last one. Of states every change is
// kept, and one that stays ever more seldom. The pack's current is kept as means over ever longer
// times, so that what was charged and discharged adds up.
#pragma once

#include <cstdint>
#include <vector>

#include "analysis/checking/input.h"

namespace proofdrive::analysis {

class ThinnedInput {
 public:
  // All signals, without values.
  explicit ThinnedInput(std::vector<RoleSignal> empty);

  void Add(const RolePart& part);
  // Values that came, and that are kept.
  std::uint64_t seen() const { return seen_; }
  std::uint64_t kept() const;
  // Once. A state that changes too often to keep every change is marked as not understood.
  CheckInput Take();

 private:
  enum class How { kEvery, kChanges, kMeans };
  struct Element {
    How how = How::kEvery;
    std::size_t most = 0;     // values that are kept
    std::uint64_t every = 1;  // kEvery, kMeans: how many become one
    std::uint64_t count = 0;  // of those to be left out or taken together
    double sum = 0, sum_at = 0;
    bool any = false;
    double last = 0, last_at = 0;
    double same_every_s = 0.1;  // kChanges
    double most_silence_s = 0;  // kMeans
    bool given_up = false;
  };

  static void AddEvery(double at_s, double value, Element& element, Track& track);
  static void AddChange(double at_s, double value, Element& element, Track& track);
  static void AddMean(double at_s, double value, Element& element, Track& track);
  static void AddLast(Element& element, Track& track);
  static void Halve(Element& element, Track& track);
  static void Shrink(Element& element, Track& track);
  static void FinishMean(Element& element, Track& track);

  CheckInput input_;
  std::vector<std::vector<Element>> elements_;  // by signal
  std::uint64_t seen_ = 0;
};

}  // namespace proofdrive::analysis
