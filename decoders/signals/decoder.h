// Frames to values, live and offline alike.
#pragma once

#include <cstdint>
#include <memory>
#include <span>
#include <utility>
#include <vector>

#include "core/frame/frame.h"
#include "decoders/model/definitions.h"
#include "decoders/signals/channel_bus.h"
#include "decoders/signals/value.h"

namespace proofdrive::decoders {

// What went wrong with one defined frame, counted over all frames seen.
struct FrameFaults {
  std::uint64_t frames = 0;
  std::uint64_t counter_faults = 0;   // not the successor of the last value
  std::uint64_t checksum_faults = 0;  // the frame's values are not used
  std::uint64_t wrong_length = 0;     // length differs from the definition

  bool any() const { return counter_faults + checksum_faults + wrong_length > 0; }
};

// One thread at a time. The definitions are shared, immutable and kept alive.
class Decoder {
 public:
  static std::unique_ptr<Decoder> Create(std::shared_ptr<const Definitions> definitions,
                                         std::span<const ChannelBus> channels);
  virtual ~Decoder() = default;

  // Index into Definitions::frames, or -1 when the frame is not described. Remote frames and error
  // messages never are.
  virtual int FindFrame(const StreamKey& key) const = 0;

  // Appends the values of one frame to `values` (not cleared). A frame that is too short yields the
  // signals that fit; one whose checksum fails, or that is too short to hold it, yields none.
  // Computed signals follow the values they use: one value per frame that brought an input, as soon
  // as every input has been received and is not stale (WarningEvaluator says when it is). When
  // inputs are absent or out of range, or the formula has no result, they are absent.
  // The last frame of an answer that a reading asks for yields the reading's value, too.
  // Returns the index of FindFrame.
  virtual int Decode(const Frame& frame, std::vector<Value>& values) = 0;

  // One per Definitions::frames.
  virtual const std::vector<FrameFaults>& faults() const = 0;
};

}  // namespace proofdrive::decoders
