// Values from answers to ReadDataByIdentifier (ISO 14229-1), as the readings of a definition file
// describe them, whoever asked.
#pragma once

#include <memory>
#include <span>
#include <vector>

#include "core/frame/frame.h"
#include "decoders/model/definitions.h"
#include "decoders/signals/channel_bus.h"
#include "decoders/signals/value.h"

namespace proofdrive::decoders {

// One thread.
class ReadingDecoder {
 public:
  // Null when the definitions have no readings.
  static std::unique_ptr<ReadingDecoder> Create(const Definitions& definitions,
                                                std::span<const ChannelBus> channels);
  virtual ~ReadingDecoder() = default;

  // Frames in order of arrival. Appends the values of an answer with its last frame; their time is
  // that frame's.
  virtual void Decode(const Frame& frame, std::vector<Value>& values) = 0;
};

}  // namespace proofdrive::decoders
