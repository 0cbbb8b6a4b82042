// What `info` says about a session: who, when, what state, how loaded the channels were, what was
// sent how often.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "output/text/fault_text.h"
#include "session/beside/measurements.h"
#include "session/recording_reader.h"

namespace proofdrive::output {

struct ChannelSummary {
  session::Channel channel;
  std::uint64_t frames = 0;          // without error messages
  std::uint64_t error_messages = 0;  // reports of the controller
  std::uint64_t drops = 0;           // frames lost while recording
  std::size_t streams = 0;
  // Bits per second on the wire over the session, with the fewest and the most stuff bits
  // (ISO 11898-1). FD frames are counted at the nominal bit rate. nullopt: no duration.
  std::optional<double> least_bits_per_s;
  std::optional<double> most_bits_per_s;
  bool faster_data = false;  // has FD frames with a faster data phase: true load is lower
};

struct StreamSummary {
  session::StreamInfo stream;
  std::optional<double>
      per_second;  // nullopt with fewer than two frames, or a clock that went back
};

struct SessionInfo {
  std::string path;
  std::vector<session::PartFile> parts;  // one for a session of its own
  session::Header header;
  session::State state = session::State::kComplete;  // as the index says
  std::uint64_t frames = 0;
  std::uint64_t file_bytes = 0;
  std::optional<WallTime> first;  // nullopt without frames
  std::optional<WallTime> last;
  std::vector<ChannelSummary> channels;
  std::vector<StreamSummary> streams;  // most frames first
  std::vector<session::Event> events;
  std::uint64_t unattributed_drops = 0;  // lost before the channels were told apart
  std::vector<session::Loss> losses;
  std::vector<session::Measurement> measured;      // by hand; filled by whoever asks
  std::optional<std::vector<NamedFaults>> faults;  // nullopt: not asked for
};

// Damaged as soon as data are known to be lost, also in one that is being recorded; else what the
// index says.
session::State StateOf(const SessionInfo& info);

SessionInfo InfoOf(const session::RecordingReader& reader, const std::string& path);

struct InfoLimits {
  std::size_t streams = 10;
  std::size_t events = 20;  // besides marks, which are all shown
};

// For people; ends in a newline.
std::string FormatSessionInfo(const SessionInfo& info, const InfoLimits& limits);
// {"sessions": [...]}, everything, indented, ending in a newline.
std::string SessionInfoJson(const std::vector<SessionInfo>& infos);

}  // namespace proofdrive::output
