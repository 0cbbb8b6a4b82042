// Answers to ReadDataByIdentifier (ISO 14229-1), whoever asked, turned into frames, so that the
// readings of a definition file are decoded like everything else.
#pragma once

#include <memory>
#include <span>
#include <vector>

#include "core/frame/frame.h"
#include "decoders/model/definitions.h"
#include "decoders/signals/channel_bus.h"

namespace proofdrive::decoders {

// One thread.
class ReadingAnswers {
 public:
  // Null when the definitions have no readings.
  static std::unique_ptr<ReadingAnswers> Create(const Definitions& definitions,
                                                std::span<const ChannelBus> channels);
  virtual ~ReadingAnswers() = default;

  // Definitions of the frames that Take gives: each has the signal of one reading, as Definitions
  // numbers it.
  virtual std::shared_ptr<const Definitions> frame_definitions() const = 0;

  // Frames in order of arrival. A frame for every reading whose answer ends with this one, at its
  // time; valid until the next call.
  virtual std::span<const Frame> Take(const Frame& frame) = 0;
};

}  // namespace proofdrive::decoders
