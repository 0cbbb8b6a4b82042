// What one session says: its warnings over time and its traffic. Plain values.
#pragma once

#include <cstdint>
#include <map>
#include <memory>
#include <string>
#include <vector>

#include "analysis/bus_record.h"
#include "analysis/requests/asked_units.h"
#include "analysis/signal_record.h"
#include "analysis/signal_windows.h"
#include "analysis/trip.h"
#include "decoders/model/definitions.h"
#include "decoders/signals/decoder.h"
#include "decoders/warnings/evaluator.h"
#include "session/model/header.h"

namespace proofdrive::analysis {

// Where the definitions that were used came from.
enum class DefinitionOrigin {
  kNone,          // there are none: frames cannot be decoded
  kGiven,         // files named by the user
  kStored,        // texts stored with this session
  kOtherSession,  // texts stored with the session it is compared with
};
// "none", "given", "stored", "other session".
std::string_view DefinitionOriginName(DefinitionOrigin origin);

// The traffic of one identifier on one channel, all lengths together.
struct StreamTraffic {
  std::uint8_t channel = 0;
  std::uint32_t id = 0;
  std::uint8_t flags = 0;  // of FrameFlag: kExtendedId, kRemote, kErrorMessage only
  std::string frame;       // name in the definitions; empty = not described
  std::uint64_t frames = 0;
  Duration first{0};  // session time
  Duration last{0};
  Duration median_period{0};    // zero with fewer than two frames
  Duration spread{0};           // of the period: median absolute deviation * 1.4826
  Duration longest_silence{0};  // between two frames
  std::map<std::uint8_t, std::uint64_t> lengths;  // data length -> frames
  // Seconds between frames, from the 0th (shortest) to the 100th percentile; empty with fewer than
  // two frames.
  std::vector<float> percentiles;
  std::uint64_t intervals = 0;
  std::uint64_t late = 0;    // intervals longer than kLateRatio median periods; see ScaleUp
  std::uint64_t missed = 0;  // frames that would have fitted into those
  // Bits of the payload that changed at any time, and those that changed in every part of the
  // session (8 to 16 parts of equal length between its first and last frame).
  std::vector<std::uint8_t> changed;
  std::vector<std::uint8_t> always_changing;
};
// An interval this many median periods long is late.
inline constexpr double kLateRatio = 1.5;

// The clock of a channel was set back while recording.
struct ClockStep {
  std::uint8_t channel = 0;
  Duration at{0};    // session time
  Duration step{0};  // negative
};

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
  TripFigures trip;
  AskedUnits asked;                  // what control units were asked and answered
  std::vector<SessionEvent> events;  // in order of recording
};

// The name people know a channel by: its bus, else its interface, else "channel 3".
std::string ChannelLabel(const session::Header& header, std::uint8_t channel);

}  // namespace proofdrive::analysis
