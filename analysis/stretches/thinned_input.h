// What the checks need of a whole long recording, in bounded memory: fewer values of the signals
// whose slow course matters.
//
// A signal is kept as if it were sent less often: every value at first, then every second, every
// fourth and so on. Of states every change is kept, and one that stays ever more seldom. The pack's
// current is kept as means over ever longer times, so that what was charged and discharged adds up.
#pragma once

#include <cstdint>
#include <string_view>
#include <vector>

#include "analysis/checking/input.h"

namespace proofdrive::analysis {

class ThinnedInput {
 public:
  // `empty`: all signals, without values. Those whose role is not in `roles` stay empty.
  ThinnedInput(std::vector<RoleSignal> empty, const std::vector<decoders::RoleName>& roles);

  void Add(const RolePart& part);
  // Values that came, and that are kept.
  std::uint64_t seen() const { return seen_; }
  std::uint64_t kept() const;
  CheckInput Take();

 private:
  enum class How { kNot, kEvery, kChanges, kMeans };
  struct Element {
    std::uint64_t every = 1;     // kEvery, kMeans: how many become one
    std::uint64_t count = 0;     // of those to be left out or taken together
    double sum = 0, sum_at = 0;  // kMeans
    double last_at = 0;
    double same_every_s = 0.1;  // kChanges
  };
  struct Kept {
    How how = How::kNot;
    std::size_t most = 0;  // values of one element
    std::vector<Element> elements;
  };

  static void AddEvery(double at_s, double value, Element& element, Track& track);
  static void AddChange(double at_s, double value, Element& element, Track& track);
  static void AddMean(double at_s, double value, Element& element, Track& track);
  static void Halve(How how, Element& element, Track& track);
  static void FinishMean(Element& element, Track& track);

  CheckInput input_;
  std::vector<Kept> kept_;  // one per signal
  std::uint64_t seen_ = 0;
};

}  // namespace proofdrive::analysis
