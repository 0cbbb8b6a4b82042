// What a session says about itself, and what happened while it was recorded. Plain values; the
// protobuf form is private to this layer.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/result.h"
#include "core/base/time.h"
#include "core/frame/frame.h"

namespace proofdrive::session {

// Why a session was recorded. DO NOT CHANGE THESE VALUES: they are embedded in session files.
enum class Stage : std::uint8_t {
  kUnspecified = 0,
  kArrival = 1,
  kBeforeRepair = 2,
  kAfterRepair = 3,
  kDrive = 4,
  kCharge = 5,
  kAfterUpdate = 6,
};

// "arrival", "before-repair", "after-repair", "drive", "charge", "after-update"; "" = unspecified.
std::string_view StageName(Stage stage);
// kInvalidArgument names the possible stages.
Result<Stage> ParseStage(std::string_view name);

// One adapter port that frames came through.
struct Channel {
  std::uint8_t number = 0;         // Frame::channel
  std::string name;                // of the interface or of the capture: "can0"
  std::string bus;                 // bus name used by definition files; empty when not stated
  std::uint32_t bitrate = 0;       // bit/s, 0 = not known
  std::uint32_t data_bitrate = 0;  // bit/s of the FD data phase, 0 = none or not known
  bool flexible_data = false;      // CAN FD enabled
  std::string timestamps;          // "kernel", "hardware", "file", "simulated"
};

// A definition file as it was when the session was recorded.
struct DefinitionText {
  std::string path;
  std::string text;
};

struct Header {
  std::string id;    // 32 hexadecimal digits, made by Writer::Create when empty
  std::string name;  // what the user called the recording
  Stage stage = Stage::kUnspecified;
  std::string vehicle;  // label of the vehicle, from the definition file or the user
  std::string notes;
  std::string software;  // program and version that wrote the session
  std::string source;    // what was recorded: "socketcan:can0", "bench:repaired", file name
  ClockPair started{};   // clocks of the recording machine at the start
  std::string boot_id;   // boot the steady clock belongs to; empty when not known
  Duration resolution = std::chrono::microseconds(1);  // of stored frame times, 1 us or 1 ns
  std::vector<Channel> channels;
  std::vector<DefinitionText> definitions;
  // One part of a recording that was split, see parts.h; 0 and empty: a session of its own.
  std::uint32_t part = 0;  // from 1
  std::string recording;   // id of part 1
  bool continued =
      false;  // the recording goes on in the next part; known once this one is complete
};

// DO NOT CHANGE THESE VALUES: they are embedded in session files.
enum class EventKind : std::uint8_t {
  kMark = 1,           // text: the user's note
  kChannelState = 2,   // text: "up", "down", "bus-off", ...; channel
  kDrops = 3,          // count: frames lost since the last such event; text: where; channel
  kClockStep = 4,      // step: how far the wall clock jumped (negative = backward)
  kErrorCounters = 5,  // text: "tx 0 rx 12"; channel
  kCodeSnapshot = 6,
  kIdentification = 7,
  kPollAnswer = 8,
  kNotice = 9,  // text: anything else a reader should know; step: how long that took, if it did
};
std::string_view EventKindName(EventKind kind);

struct Event {
  WallTime time;
  EventKind kind = EventKind::kNotice;
  std::optional<std::uint8_t> channel;
  std::string text;
  std::uint64_t count = 0;
  Duration step{0};
  // kCodeSnapshot, kIdentification: what was asked and answered, as JSON text (docs/asking.md).
  std::string data;

  friend bool operator==(const Event&, const Event&) = default;
};

// Sums over one stream. Kept in the footer so that `info` need not read the frames.
struct StreamInfo {
  StreamKey key;
  std::uint64_t frames = 0;
  WallTime first;
  WallTime last;
};

// What a session file is, seen from outside.
enum class State {
  kRecording,    // a living process holds the lock of the session file
  kInterrupted,  // the recorder stopped without finishing; nothing synced is lost
  kComplete,     // has its footer
  kDamaged,      // a checksum fails or bytes make no sense somewhere; the rest can be read
};
std::string_view StateName(State state);

}  // namespace proofdrive::session
