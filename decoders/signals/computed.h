// Signals calculated from others, frame by frame.
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <queue>
#include <vector>

#include "decoders/formula/formula.h"
#include "decoders/model/definitions.h"
#include "decoders/signals/freshness.h"
#include "decoders/signals/latest_values.h"
#include "decoders/signals/value.h"

namespace proofdrive::decoders {

// Remembers the latest inputs. One thread at a time.
class ComputedSignals {
 public:
  // REQUIRES: definitions came from the loader and outlive this.
  explicit ComputedSignals(const Definitions& definitions);

  // Takes values[first...], all of one frame, and appends what is computed from them.
  void Append(std::size_t first, std::vector<Value>& values);

 private:
  struct Item {
    std::uint32_t signal = 0;
    std::unique_ptr<Formula> formula;
    std::vector<double> inputs;
    bool due = false;  // in due_
  };
  void Take(const Value& value);
  // False when an input is missing or stale.
  bool Calculate(Item& item, Value& value);

  const Definitions& definitions_;
  LatestValues latest_;
  Freshness freshness_;
  std::vector<Item> items_;
  std::priority_queue<std::uint32_t, std::vector<std::uint32_t>, std::greater<>> due_;
  std::vector<std::vector<std::uint32_t>> users_;  // items by signal
};

}  // namespace proofdrive::decoders
