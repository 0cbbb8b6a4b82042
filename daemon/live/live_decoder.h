// What the vehicle says right now: latest values and warnings, decoded while recording.
#pragma once

#include <array>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include "core/frame/frame.h"
#include "decoders/model/definitions.h"
#include "decoders/signals/decoder.h"
#include "decoders/warnings/evaluator.h"

namespace proofdrive::daemon {

struct LatestValue {
  decoders::Value value;
  bool stale = false;  // its frame has been silent too long
  std::string text;    // of a signal of `type: text`, whose number is NaN; empty otherwise
};

struct WarningChange {
  std::uint32_t warning = 0;  // index into Definitions::warnings
  decoders::WarningStateKind before = decoders::WarningStateKind::kUnknown;
  decoders::WarningStateKind now = decoders::WarningStateKind::kUnknown;
  WallTime time;
};

// One thread.
class LiveDecoder {
 public:
  LiveDecoder(std::shared_ptr<const decoders::Definitions> definitions,
              std::span<const decoders::ChannelBus> channels);

  // A warning that comes and goes within this time of its frames may not be reported as a change.
  static constexpr Duration kNoteTime = std::chrono::milliseconds(10);

  // Frames of each channel that the definitions describe, so far.
  const std::array<std::uint64_t, 256>& described() const { return described_; }

  // Frames in order of arrival. Appends to what TakeChanges gives.
  void Update(std::span<const Frame> frames);
  // Time passes, with or without frames.
  void AdvanceTo(WallTime now);

  // Warnings that changed since the last call.
  std::vector<WarningChange> TakeChanges();
  // Every value seen so far, in order of definition.
  std::vector<LatestValue> Values(WallTime now) const;
  // One per Definitions::warnings.
  std::vector<decoders::WarningSpan> Warnings() const;

  const std::shared_ptr<const decoders::Definitions>& definitions() const { return definitions_; }

 private:
  void Keep(const decoders::Value& value, const Frame& frame);
  void NoteChanges();

  const std::shared_ptr<const decoders::Definitions> definitions_;
  const std::unique_ptr<decoders::Decoder> decoder_;
  const std::unique_ptr<decoders::WarningEvaluator> evaluator_;
  std::array<std::uint64_t, 256> described_{};
  std::vector<int> frame_of_signal_;  // -1: computed
  std::vector<WallTime> last_of_frame_;
  std::vector<std::vector<LatestValue>> latest_;   // by signal, by element; not told yet if stale
  std::vector<decoders::WarningStateKind> known_;  // states already reported
  WallTime noted_;                                 // of the frame after which they were
  std::vector<WarningChange> changes_;
  std::vector<decoders::Value> scratch_;
};

}  // namespace proofdrive::daemon
