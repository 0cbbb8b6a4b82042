// What one session says: its warnings over time and its traffic. Plain values.
#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include "analysis/asking/asked_units.h"
#include "analysis/session/bus_record.h"
#include "analysis/session/definition_set.h"
#include "analysis/session/session_timeline.h"
#include "analysis/session/signal_record.h"
#include "analysis/session/signal_windows.h"
#include "analysis/session/stream_traffic.h"
#include "analysis/session/trip.h"
#include "decoders/model/definitions.h"
#include "decoders/signals/decoder.h"
#include "decoders/warnings/evaluator.h"
#include "session/model/header.h"

namespace proofdrive::analysis {

// Where one warning can be seen.
struct WarningSource {
  std::vector<std::uint32_t> frames;  // indices into Definitions::frames; sorted
  std::vector<std::string> silent;    // names of those that never arrived
  // Session time at which the buses of its frames fell quiet: later than that nothing can be said,
  // and nothing is missing either.
  Duration bus_end{0};
};

// Something that happened while recording, in session time.
struct SessionEvent {
  Duration at{0};
  session::Event event;
};

// The texts one signal of a frame sent, one for each element of a series; none of other signals.
struct TextRecord {
  std::vector<std::string> texts;  // first of each element; empty = not sent yet
  bool changes = false;            // another one came later
};

struct SessionFindings {
  session::Header header;
  session::State state = session::State::kComplete;
  bool damaged = false;  // data are lost; what was readable was used
  std::uint64_t frames = 0;
  std::uint64_t not_described = 0;  // of them: data frames without a definition
  std::uint64_t drops = 0;          // frames the recorder said were lost
  WallTime start;                   // time of the first frame
  Duration length{0};               // session time of the last frame
  std::vector<ClockStep> clock_steps;

  DefinitionOrigin origin = DefinitionOrigin::kNone;
  std::shared_ptr<const decoders::Definitions> definitions;  // null = none
  std::vector<decoders::WarningHistory> warnings;            // one per Definitions::warnings
  std::vector<WarningSource> sources;                        // one per Definitions::warnings
  std::vector<decoders::FrameFaults> faults;                 // one per Definitions::frames
  std::vector<StreamTraffic> traffic;                        // sorted by channel, id, flags
  std::vector<BusRecord> buses;                              // sorted by channel
  std::vector<SignalRecord> signals;                         // one per Definitions::signals
  std::vector<WindowRow> windows;                            // one per Definitions::signals
  std::vector<TextRecord> texts;                             // one per Definitions::signals
  TripFigures trip;
  AskedUnits asked;                  // what control units were asked and answered
  std::vector<SessionEvent> events;  // in order of recording
};

// The name people know a channel by: its bus, else its interface, else "channel 3".
std::string ChannelLabel(const session::Header& header, std::uint8_t channel);

}  // namespace proofdrive::analysis
