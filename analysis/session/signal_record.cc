#include "analysis/session/signal_record.h"

#include <utility>

namespace proofdrive::analysis {

using decoders::Signal;
using decoders::Validity;
using decoders::Value;

SignalRecorder::SignalRecorder(std::shared_ptr<const decoders::Definitions> definitions,
                               std::size_t curve_points)
    : definitions_(std::move(definitions)), records_(definitions_->signals.size()) {
  for (std::size_t i = 0; i < records_.size(); ++i) {
    records_[i].state_counts.resize(definitions_->signals[i].states.size());
  }
  if (curve_points > 0) curves_.assign(records_.size(), Envelope(curve_points));
}

void SignalRecorder::Add(const Value& value, Duration at) {
  SignalRecord& record = records_[value.signal];
  ++record.values;
  if (value.validity != Validity::kValid) {
    ++(value.validity == Validity::kAbsent ? record.absent : record.out_of_range);
    return;
  }
  const Signal& signal = definitions_->signals[value.signal];
  if (!signal.states.empty()) CountState(signal, value.raw, record);
  if (signal.encoding == decoders::Encoding::kText) return;
  if (value.number < record.lowest.value) record.lowest = {value.number, at, value.element};
  if (value.number > record.highest.value) record.highest = {value.number, at, value.element};
  record.last = value.number;
  if (!curves_.empty()) curves_[value.signal].Add(at, value.number);
}

void SignalRecorder::CountState(const Signal& signal, std::int64_t raw,
                                SignalRecord& record) const {
  for (std::size_t i = 0; i < signal.states.size(); ++i) {
    if (raw < signal.states[i].first || raw > signal.states[i].last) continue;
    ++record.state_counts[i];
    return;
  }
  ++record.unnamed;
}

std::vector<SignalRecord> SignalRecorder::Finish() {
  for (std::size_t i = 0; i < curves_.size(); ++i) {
    records_[i].curve = curves_[i].Points();
    records_[i].curve_step = curves_[i].width();
  }
  return std::move(records_);
}

}  // namespace proofdrive::analysis
