// Every counted event of the project in one table (counters.def): name, severity and advice.
#pragma once

#include <array>
#include <atomic>
#include <cstddef>
#include <cstdint>
#include <string_view>

namespace proofdrive {

enum class Severity { kNotice, kDataLoss, kError };

enum class Counter : std::size_t {
#define COUNTER(identifier, name, severity, advice) identifier,
#include "core/base/counters.def"
#undef COUNTER
};

struct CounterInfo {
  std::string_view name;
  Severity severity;
  std::string_view advice;
};

inline constexpr CounterInfo kCounterInfo[] = {
#define COUNTER(identifier, name, severity, advice) {name, Severity::severity, advice},
#include "core/base/counters.def"
#undef COUNTER
};
inline constexpr std::size_t kCounterCount = std::size(kCounterInfo);

inline const CounterInfo& InfoOf(Counter counter) {
  return kCounterInfo[static_cast<std::size_t>(counter)];
}

// One value per counter. Any thread may add and read; values only grow.
class Counters {
 public:
  void Add(Counter counter, std::uint64_t count = 1) {
    values_[static_cast<std::size_t>(counter)].fetch_add(count, std::memory_order_relaxed);
  }
  std::uint64_t Get(Counter counter) const {
    return values_[static_cast<std::size_t>(counter)].load(std::memory_order_relaxed);
  }

 private:
  std::array<std::atomic<std::uint64_t>, kCounterCount> values_{};
};

}  // namespace proofdrive
