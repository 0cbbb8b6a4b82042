#include "analysis/pass/ordered_series.h"

#include <algorithm>

#include "decoders/signals/text_value.h"

namespace proofdrive::analysis {

using decoders::Value;

void OrderedSeries::Add(const Frame& frame, const SessionTimeline& timeline,
                        std::span<const Value> values) {
  Duration& at = last_[KeyOf(frame)];
  at = std::max(at, frame.time - start_ + timeline.shift(frame.channel));
  for (const Value& value : values) {
    if (chosen_[value.signal]) Add(value, at, frame.payload());
  }
}

void OrderedSeries::Add(const Value& value, Duration at, ByteSpan payload) {
  Series& series = series_[{value.signal, value.element}];
  series.signal = value.signal;
  series.element = value.element;
  series.at.push_back(at);
  series.times.push_back(value.time);
  series.numbers.push_back(value.number);
  series.validity.push_back(value.validity);
  const decoders::Signal& signal = definitions_->signals[value.signal];
  if (!signal.states.empty()) series.raw.push_back(value.raw);
  if (signal.encoding != decoders::Encoding::kText) return;
  const bool there = value.validity == decoders::Validity::kValid;
  series.texts.push_back(there ? decoders::TextOf(signal, value.element, payload).value_or("")
                               : "");
}

void OrderedSeries::Flush(const std::function<void(const Series&)>& visit) {
  for (auto& [key, series] : series_) {
    if (series.size() == 0) continue;
    series.Sort();
    visit(series);
    series.Clear();
  }
}

}  // namespace proofdrive::analysis
