#include "tools/input/chosen_rows.h"

#include <algorithm>
#include <tuple>
#include <utility>

#include "analysis/pass/read_series.h"

namespace proofdrive::tools {
namespace {

// Reading a stream costs about as much per frame as reading all frames; more than every fourth
// frame is no gain.
constexpr std::uint64_t kLeastFramesPerRead = 4;
// Longer than any frame arrives behind a later one of another channel.
constexpr Duration kLate = std::chrono::seconds(1);

std::vector<std::uint32_t> Indices(const std::vector<bool>& chosen) {
  std::vector<std::uint32_t> indices;
  for (std::uint32_t i = 0; i < chosen.size(); ++i) {
    if (chosen[i]) indices.push_back(i);
  }
  return indices;
}

}  // namespace

bool ChosenRows::IsWorthwhile(const session::Reader& reader,
                              const decoders::Definitions& definitions,
                              const SignalSelection& selection) {
  const auto cost = analysis::CostOfSeries(reader, definitions, Indices(selection.Signals()));
  return cost.frames * kLeastFramesPerRead <= reader.frame_count();
}

ChosenRows::ChosenRows(const std::shared_ptr<const decoders::Definitions>& definitions,
                       const SignalSelection& selection, TimeBounds bounds, Visitor visit)
    : selection_(selection),
      bounds_(bounds),
      visit_(std::move(visit)),
      order_(analysis::SignalOrder(definitions)) {}

std::vector<std::uint32_t> ChosenRows::Signals() const { return Indices(selection_.Signals()); }

void ChosenRows::OnSeries(const analysis::Series& part) {
  first_ = std::min(first_, part.at.front());
  last_ = std::max(last_, part.at.back());
  if (!selection_.Has(part.signal, part.element)) return;
  for (std::size_t i = 0; i < part.size(); ++i) {
    if (!bounds_.Has(part.times[i], part.at[i])) continue;
    Row row{part.at[i], order_[part.signal], {}, {}};
    row.value.time = part.times[i];
    row.value.signal = part.signal;
    row.value.element = part.element;
    row.value.number = part.numbers[i];
    row.value.raw = part.raw.empty() ? 0 : part.raw[i];
    row.value.validity = part.validity[i];
    if (!part.texts.empty()) row.text = part.texts[i];
    rows_.push_back(std::move(row));
  }
}

void ChosenRows::GiveUntil(Duration at) {
  std::stable_sort(rows_.begin(), rows_.end(), [](const Row& a, const Row& b) {
    return std::tie(a.at, a.order, a.value.element) < std::tie(b.at, b.order, b.value.element);
  });
  auto row = rows_.begin();
  for (; row != rows_.end() && row->at <= at && !enough_; ++row) {
    enough_ = !visit_(row->value, row->text);
  }
  rows_.erase(rows_.begin(), row);
}

bool ChosenRows::OnEndOfStretch() {
  GiveUntil(last_ - kLate);
  const bool over = first_ < Duration::max() && bounds_.to && bounds_.to->counts_from_start() &&
                    bounds_.to->Compare({}, first_ - kLate) > 0;
  first_ = Duration::max();
  return !enough_ && !over;
}

void ChosenRows::Finish() { GiveUntil(last_); }

}  // namespace proofdrive::tools
