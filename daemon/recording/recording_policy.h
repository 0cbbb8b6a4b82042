// What is wished of a recording, by option, by the control socket or by the daemon itself, and when
// the daemon records without being asked.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "core/base/result.h"
#include "core/base/time.h"
#include "session/model/header.h"

namespace proofdrive::daemon {

struct RecordingWish {
  std::string name;  // of the session; empty: the daemon makes one from the date
  session::Stage stage = session::Stage::kUnspecified;
  std::string notes;
  std::optional<Duration> length;  // source time; nullopt = until stopped
};

// When the daemon begins to record by itself.
enum class RecordWhen : std::uint8_t {
  kAsked,    // never: somebody asks for it
  kStart,    // as soon as it runs, until it ends
  kTraffic,  // when frames come, until the bus has been silent for a while
  kWarning,  // when a warning comes on, until all have been off for a while
};
std::string_view RecordWhenName(RecordWhen when);
// kInvalidArgument names the possible words.
Result<RecordWhen> ParseRecordWhen(std::string_view text);

// How the daemon records without being asked each time.
struct RecordingPolicy {
  // With kWarning and kTraffic, unless told otherwise.
  static constexpr Duration kUsualLeadIn = std::chrono::seconds(10);
  static constexpr Duration kLongestLeadIn = std::chrono::minutes(5);

  RecordWhen when = RecordWhen::kAsked;
  // Every recording begins with what came this long before its cause; zero = nothing.
  Duration keep_before{0};
  // Ends a recording the daemon began this long after its cause went away.
  Duration end_after = std::chrono::seconds(60);
  RecordingWish wish;  // stage, notes and length of those the daemon begins
};

// When a recording is split into another part. Whatever comes first; nullopt = never.
struct PartLimits {
  std::optional<std::uint64_t> bytes;
  std::optional<Duration> time;  // source time
  bool any() const { return bytes || time; }
};

// A session name becomes a file name: letters, digits, ".", "-" and "_", not starting with "." or
// "-", at most 100 characters. kInvalidArgument says so.
Status CheckSessionName(const std::string& name);
// The same for what a user wrote, who may have added ".session": the name without it.
Result<std::string> ParseSessionName(const std::string& text);

}  // namespace proofdrive::daemon
