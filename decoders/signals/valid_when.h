// `valid when`: values that count only while a condition on other values holds.
#pragma once

#include <cstdint>
#include <memory>
#include <vector>

#include "decoders/formula/formula.h"
#include "decoders/model/definitions.h"
#include "decoders/signals/freshness.h"
#include "decoders/signals/latest_values.h"
#include "decoders/signals/value.h"

namespace proofdrive::decoders {

// Conditions look at values as they were sent, those of the same frame included, and hold only when
// they are known to: a condition whose inputs are missing or stale makes the value absent.
class ValidityConditions {
 public:
  // REQUIRES: definitions came from the loader and outlive this.
  explicit ValidityConditions(const Definitions& definitions);

  // Takes values[first...], all of one frame, and makes those absent whose condition does not hold.
  void Apply(std::size_t first, std::vector<Value>& values);

 private:
  struct Condition {
    std::unique_ptr<Formula> formula;
    std::vector<double> inputs;
  };
  bool Holds(Condition& condition, WallTime time);

  LatestValues latest_;
  Freshness freshness_;
  std::vector<Condition> conditions_;
  std::vector<std::int32_t> condition_of_;  // by signal; -1: none
};

}  // namespace proofdrive::decoders
