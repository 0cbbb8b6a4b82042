// Where the daemon's frames come from: an adapter, a recording, or the simulated bench vehicle.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "core/base/result.h"
#include "core/frame/frame.h"
#include "daemon/sources/can/channel_condition.h"
#include "session/model/header.h"

namespace proofdrive::daemon {

class Simulation;  // daemon/sources/simulation.h

// What a source tells the recorder. Called on the source's own thread; must not block for long.
class SourceSink {
 public:
  virtual ~SourceSink() = default;
  // Frames in order of arrival, channel numbers as given to the source.
  virtual void OnFrames(std::span<const Frame> frames) = 0;
  // Something besides frames: a state change, drops, a clock step.
  virtual void OnEvent(const session::Event& event) = 0;
  // How the adapter of a channel is now; sent when it changes.
  virtual void OnCondition(std::uint8_t channel, const ChannelCondition& condition) = 0;
};

// One thread inside; Start and Stop are called from the thread that owns the source.
class FrameSource {
 public:
  virtual ~FrameSource() = default;  // stops
  // Channels this source delivers, numbered from the number given at creation.
  virtual std::vector<session::Channel> channels() const = 0;
  // True when frames arrive whether or not somebody is ready for them, at the time of this
  // machine's clock. False when the source has a pace of its own and waits for its sink.
  virtual bool live() const = 0;
  // Begins delivering to `sink`, which must outlive the source or a call of Stop().
  virtual Status Start(SourceSink& sink) = 0;
  // Returns when no further call of the sink will come. Safe to call twice.
  virtual void Stop() = 0;
  // True when a source of limited length (replay, bench) has delivered everything. Any thread.
  virtual bool finished() const = 0;
  // Null unless the source makes its frames up. Belongs to the source.
  virtual Simulation* simulation() { return nullptr; }
};

}  // namespace proofdrive::daemon
