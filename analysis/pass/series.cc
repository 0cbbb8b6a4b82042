#include "analysis/pass/series.h"

#include <algorithm>
#include <numeric>

namespace proofdrive::analysis {
namespace {

template <class T>
void Reorder(const std::vector<std::uint32_t>& order, std::vector<T>& values) {
  if (values.empty()) return;
  std::vector<T> sorted;
  sorted.reserve(values.size());
  for (const std::uint32_t i : order) sorted.push_back(std::move(values[i]));
  values = std::move(sorted);
}

template <class T>
void Extend(const std::vector<T>& from, std::vector<T>& to) {
  to.insert(to.end(), from.begin(), from.end());
}

}  // namespace

void Series::Clear() {
  at.clear();
  times.clear();
  numbers.clear();
  validity.clear();
  raw.clear();
  texts.clear();
}

void Series::Sort() {
  if (std::is_sorted(at.begin(), at.end())) return;
  std::vector<std::uint32_t> order(size());
  std::iota(order.begin(), order.end(), 0U);
  std::stable_sort(order.begin(), order.end(),
                   [&](std::uint32_t a, std::uint32_t b) { return at[a] < at[b]; });
  Reorder(order, at);
  Reorder(order, times);
  Reorder(order, numbers);
  Reorder(order, validity);
  Reorder(order, raw);
  Reorder(order, texts);
}

void Append(const Series& later, Series& series) {
  Extend(later.at, series.at);
  Extend(later.times, series.times);
  Extend(later.numbers, series.numbers);
  Extend(later.validity, series.validity);
  Extend(later.raw, series.raw);
  Extend(later.texts, series.texts);
}

}  // namespace proofdrive::analysis
