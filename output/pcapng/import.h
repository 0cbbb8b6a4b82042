// A capture into a session: channels merged by time, everything odd counted and recorded.
#pragma once

#include <cstdint>
#include <functional>
#include <map>
#include <string>
#include <vector>

#include "core/base/files.h"
#include "core/base/result.h"
#include "output/pcapng/merge.h"
#include "output/pcapng/reader.h"
#include "session/model/header.h"

namespace proofdrive::output {

struct ImportOptions {
  std::string capture;  // path
  std::string session;  // path, ends in ".session", must not exist
  // What the user says about the recording. Channels, clocks, source and resolution are
  // filled in by the import.
  session::Header header;
  // Bus names used by definition files, by channel name.
  std::map<std::string, std::string> buses;
  // Called with bytes done and bytes in all now and then; may be empty.
  std::function<void(std::uint64_t, std::uint64_t)> progress;
};

struct ImportedChannel {
  session::Channel channel;
  std::uint64_t frames = 0;
  WallTime first;  // earliest and latest time; zero when there are no frames
  WallTime last;
};

struct ImportReport {
  std::vector<ImportedChannel> channels;
  std::uint64_t frames = 0;
  std::uint64_t marks = 0;
  std::uint64_t drops = 0;  // frames the capture says were lost while recording
  MergeStats merge;
  bool order_kept = false;  // a capture of our own: nothing was merged
  CaptureSummary capture;
  std::vector<std::string> notices;  // sentences; also in the session as events
  std::uint64_t session_bytes = 0;

  // From the earliest to the latest frame.
  Duration span() const;
};

// On failure no session is left behind. kInvalidArgument: not a capture, no CAN interface or frame
// in it, or a bus for a channel it does not have. kAlreadyExists: nothing is overwritten.
Result<ImportReport> ImportCapture(Files& files, const ImportOptions& options);

}  // namespace proofdrive::output
