#include "analysis/session/signal_windows.h"

#include <algorithm>

namespace proofdrive::analysis {
namespace {

bool IsNumber(const decoders::Signal& signal) {
  if (signal.encoding == decoders::Encoding::kText) return false;
  return signal.states.empty() || !signal.unit.empty();
}

}  // namespace

WindowRecorder::WindowRecorder(const decoders::Definitions& definitions)
    : open_(definitions.signals.size()), rows_(definitions.signals.size()) {
  for (std::size_t i = 0; i < open_.size(); ++i) {
    open_[i].wanted = IsNumber(definitions.signals[i]);
  }
}

void WindowRecorder::Add(const decoders::Value& value, Duration at) {
  Open& open = open_[value.signal];
  if (!open.wanted || value.validity != decoders::Validity::kValid) return;
  const auto number = static_cast<std::size_t>(at / kWindow);
  while (number >> shift_ >= kMostKeptWindows) Widen();
  const std::size_t window = number >> shift_;
  if (window << shift_ != number) return;
  if (window != open.window) {
    Close(value.signal);
    open.window = window;
  }
  open.values.push_back(static_cast<float>(value.number));
}

// Leaves out every second window.
void WindowRecorder::Widen() {
  ++shift_;
  for (std::uint32_t signal = 0; signal < open_.size(); ++signal) {
    Open& open = open_[signal];
    if (open.window % 2 != 0) open.values.clear();
    open.window = (open.window + 1) / 2;
    WindowRow& row = rows_[signal];
    const std::size_t half = (row.size() + 1) / 2;
    for (std::size_t i = 0; i < half; ++i) row[i] = row[2 * i];
    row.resize(half);
  }
}

void WindowRecorder::Close(std::uint32_t signal) {
  Open& open = open_[signal];
  if (open.values.empty()) return;
  rows_[signal].resize(open.window + 1, kEmptyWindow);
  const auto middle = open.values.begin() + static_cast<std::ptrdiff_t>(open.values.size() / 2);
  std::nth_element(open.values.begin(), middle, open.values.end());
  rows_[signal][open.window] = *middle;
  open.values.clear();
}

std::vector<WindowRow> WindowRecorder::Finish() {
  for (std::uint32_t i = 0; i < open_.size(); ++i) Close(i);
  return std::move(rows_);
}

}  // namespace proofdrive::analysis
