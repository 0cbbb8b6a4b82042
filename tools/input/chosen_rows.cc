#include "tools/input/chosen_rows.h"

#include <algorithm>
#include <utility>

namespace proofdrive::tools {
namespace {

// Reading a stream costs about as much per frame as reading all frames; more than every fourth
// frame is no gain worth the memory.
constexpr std::uint64_t kLeastFramesPerRead = 4;
constexpr std::uint64_t kMostValues = 4'000'000;  // about 60 bytes each

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
  return cost.frames * kLeastFramesPerRead <= reader.frame_count() && cost.values <= kMostValues;
}

Status ChosenRows::Read(session::Reader& reader,
                        std::shared_ptr<const decoders::Definitions> definitions,
                        const SignalSelection& selection, const TimeBounds& bounds) {
  const auto take = [&](analysis::Series& series) {
    if (!selection.Has(series.signal, series.element)) return true;
    const auto number = static_cast<std::uint32_t>(series_.size());
    for (std::uint32_t i = 0; i < series.size(); ++i) {
      if (bounds.Has(series.times[i], series.at[i])) rows_.push_back({series.at[i], number, i});
    }
    series_.push_back(std::move(series));
    return true;
  };
  RETURN_IF_ERROR(
      analysis::VisitSeries(reader, std::move(definitions), Indices(selection.Signals()), take));
  std::stable_sort(rows_.begin(), rows_.end(),
                   [](const Row& a, const Row& b) { return a.at < b.at; });
  return Status::Ok();
}

void ChosenRows::ForEach(
    const std::function<bool(const decoders::Value&, std::string_view)>& visit) const {
  for (const Row& row : rows_) {
    const analysis::Series& series = series_[row.series];
    decoders::Value value;
    value.time = series.times[row.index];
    value.signal = series.signal;
    value.element = series.element;
    value.number = series.numbers[row.index];
    value.raw = series.raw.empty() ? 0 : series.raw[row.index];
    value.validity = series.validity[row.index];
    const std::string_view text =
        series.texts.empty() ? std::string_view() : series.texts[row.index];
    if (!visit(value, text)) return;
  }
}

}  // namespace proofdrive::tools
