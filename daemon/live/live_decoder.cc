#include "daemon/live/live_decoder.h"

#include <algorithm>
#include <utility>

#include "decoders/signals/freshness.h"
#include "decoders/signals/text_value.h"

namespace proofdrive::daemon {
namespace {

std::vector<int> FramesOfSignals(const decoders::Definitions& definitions) {
  std::vector<int> frames(definitions.signals.size(), -1);
  for (std::size_t i = 0; i < definitions.frames.size(); ++i) {
    for (const std::uint32_t signal : definitions.frames[i].signals) {
      frames[signal] = static_cast<int>(i);
    }
  }
  return frames;
}

Duration StaleAfter(const decoders::FrameDefinition& frame) {
  if (frame.timeout) return *frame.timeout;
  return frame.every ? *frame.every * decoders::kSilentPeriods : decoders::kSilentWithoutPeriod;
}

}  // namespace

LiveDecoder::LiveDecoder(std::shared_ptr<const decoders::Definitions> definitions,
                         std::span<const decoders::ChannelBus> channels)
    : definitions_(std::move(definitions)),
      decoder_(decoders::Decoder::Create(definitions_, channels)),
      evaluator_(decoders::WarningEvaluator::Create(definitions_)),
      frame_of_signal_(FramesOfSignals(*definitions_)),
      last_of_frame_(definitions_->frames.size()),
      latest_(definitions_->signals.size()),
      known_(definitions_->warnings.size(), decoders::WarningStateKind::kUnknown) {}

void LiveDecoder::Update(std::span<const Frame> frames) {
  for (const Frame& frame : frames) {
    scratch_.clear();
    const int index = decoder_->Decode(frame, scratch_);
    if (index >= 0) {
      ++described_[frame.channel];
      if (!scratch_.empty()) last_of_frame_[static_cast<std::size_t>(index)] = frame.time;
    }
    for (const decoders::Value& value : scratch_) {
      Keep(value, frame);
      evaluator_->Update(value);
    }
    if (std::chrono::abs(frame.time - noted_) < kNoteTime) continue;
    noted_ = frame.time;
    NoteChanges();
  }
}

void LiveDecoder::AdvanceTo(WallTime now) {
  evaluator_->AdvanceTo(now);
  NoteChanges();
}

void LiveDecoder::Keep(const decoders::Value& value, const Frame& frame) {
  std::vector<LatestValue>& elements = latest_[value.signal];
  while (elements.size() <= value.element) {
    LatestValue nothing;
    nothing.value.signal = value.signal;
    nothing.value.element = static_cast<std::uint32_t>(elements.size());
    nothing.value.validity = decoders::Validity::kAbsent;
    elements.push_back(std::move(nothing));
  }
  LatestValue& latest = elements[value.element];
  latest.value = value;
  const decoders::Signal& signal = definitions_->signals[value.signal];
  if (signal.encoding != decoders::Encoding::kText) return;
  latest.text = decoders::TextOf(signal, value.element, frame.payload()).value_or("");
}

void LiveDecoder::NoteChanges() {
  for (std::uint32_t i = 0; i < known_.size(); ++i) {
    const decoders::WarningSpan span = evaluator_->Current(i);
    if (span.kind == known_[i]) continue;
    changes_.push_back({i, known_[i], span.kind, span.from});
    known_[i] = span.kind;
  }
}

std::vector<WarningChange> LiveDecoder::TakeChanges() { return std::exchange(changes_, {}); }

std::vector<LatestValue> LiveDecoder::Values(WallTime now) const {
  std::vector<LatestValue> values;
  for (std::size_t signal = 0; signal < latest_.size(); ++signal) {
    const int frame = frame_of_signal_[signal];
    const auto stale = [&](const decoders::Value& value) {
      if (frame < 0) return now - value.time > decoders::kSilentWithoutPeriod;
      const auto index = static_cast<std::size_t>(frame);
      return now - last_of_frame_[index] > StaleAfter(definitions_->frames[index]);
    };
    for (const LatestValue& latest : latest_[signal]) {
      values.push_back(latest);
      values.back().stale = stale(latest.value);
    }
  }
  return values;
}

std::vector<decoders::WarningSpan> LiveDecoder::Warnings() const {
  std::vector<decoders::WarningSpan> spans;
  for (std::uint32_t i = 0; i < known_.size(); ++i) spans.push_back(evaluator_->Current(i));
  return spans;
}

}  // namespace proofdrive::daemon
