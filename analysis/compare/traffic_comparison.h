// What may change in the traffic between two sessions, and from where on it counts as a change.
#pragma once

#include <cstdint>
#include <map>
#include <string>
#include <vector>

#include "core/base/time.h"

namespace proofdrive::analysis {

// Limits, each with its reason (docs/verdicts.md, "Traffic").
// Shorter or longer than this ratio is a change. Senders differ from their nominal period by far
// less than 25 %, even when another sender delays them.
inline constexpr double kPeriodRatio = 1.25;
// Fewer intervals than this in either session give no verdict on the period.
inline constexpr std::uint64_t kMinIntervals = 20;
// A change must also exceed this many times the spread of both sessions.
inline constexpr double kSpreads = 4;
// An identifier with n frames here and none there is missed when, if they came at random with the
// same rate in both sessions, the chance that all n fall here is below this. That is
// (here / (here + there))^n with the lengths of the sessions. The same for a length, with the
// frames of its identifier in place of time.
inline constexpr double kChance = 0.001;

// An identifier whose frames are too few on one side for a period is reported when its rate changed
// by this ratio, not by chance, and there are kManyFrames on the other side: a flood, or the end of
// one. Events come in bursts, so the ratio is large.
inline constexpr double kRateRatio = 10;
inline constexpr std::uint64_t kManyFrames = 100;
// Jitter is reported when the spread of the period changed by this ratio, the larger one is more
// than kJitterShare of the period, and the distributions of the intervals lie this far apart.
inline constexpr double kJitterRatio = 3;
inline constexpr double kJitterShare = 0.05;
inline constexpr double kJitterDistance = 0.2;
// Bytes of an identifier with fewer frames in either session are not called constant.
inline constexpr std::uint64_t kConstantFrames = 3;
// Bits that never changed there count as newly active here only when each side has this many
// frames.
inline constexpr std::uint64_t kBitFrames = 200;
// A bus has more late frames when their share grew by this ratio and by this much of all intervals.
inline constexpr double kLateGrowth = 3;
inline constexpr double kLateShare = 0.002;
// Load changed when the ratio is that of a period and the difference this share of the bit rate.
inline constexpr double kLoadShare = 0.05;
// The longest silence of a bus changed when it grew by this ratio and this much.
inline constexpr double kSilenceRatio = 5;
inline constexpr Duration kSilenceGrowth = std::chrono::milliseconds(20);

// One identifier on one bus, for people and JSON.
struct StreamName {
  std::string bus;  // ChannelLabel of the session it was seen in
  std::uint32_t id = 0;
  std::uint8_t flags = 0;
  std::string frame;  // name in the definitions; may be empty
};

struct OneSided {
  StreamName stream;
  std::uint64_t frames = 0;
  Duration median_period{0};
  // Too few frames, or the other session too short, to miss it there (kChance).
  bool may_be_chance = false;
};

struct PeriodChange {
  StreamName stream;
  Duration before{0};
  Duration after{0};
};

struct LengthChange {
  StreamName stream;
  std::map<std::uint8_t, std::uint64_t> before;  // length -> frames
  std::map<std::uint8_t, std::uint64_t> after;
};

struct RateChange {
  StreamName stream;
  std::uint64_t before = 0;  // frames
  std::uint64_t after = 0;
  double before_per_s = 0;
  double after_per_s = 0;
  Duration after_period{0};  // median; zero with fewer than two frames
};

// The period is the same, its distribution is not.
struct JitterChange {
  StreamName stream;
  Duration spread_before{0};
  Duration spread_after{0};
  // 1st and 99th percentile of the period.
  Duration low_before{0}, high_before{0}, low_after{0}, high_after{0};
  double distance = 0;  // of the distributions, 0..1
};

// Bits that change all the time in one session and never in the other.
struct BitChange {
  StreamName stream;
  std::string began;    // "byte 2 bits 0-3, byte 5": moving in the after-session only
  std::string stopped;  // moving in the before-session only
};

// Bytes that no definition describes, never change within a session and are not the same in both: a
// version, a setting, a count that moves slowly.
struct ConstantChange {
  StreamName stream;
  std::string what;  // "byte 3: 0E before, 0F after"
};

// A frame whose definition says that it moved: at the first identifier before, at the second after.
struct MovedFrame {
  StreamName before;
  StreamName after;
};

struct BusFigures {
  bool there = false;
  std::uint64_t frames = 0;
  double load = 0;  // 0..1; 0 = bit rate not known
  Duration longest_silence{0};
  std::uint64_t intervals = 0;  // of identifiers with a period in both sessions
  std::uint64_t late = 0;       // of them, longer than kLateRatio periods
  std::uint64_t missed = 0;     // frames that would have fitted in
  std::uint64_t error_messages = 0;
  std::uint64_t bus_off = 0;  // times the controller left the bus
};

struct BusChange {
  std::string bus;
  BusFigures before;
  BusFigures after;
  std::vector<std::string> reasons;  // phrases; empty = no change
};

// Counter, checksum or length faults of a frame became more or fewer, not by chance.
struct FaultChange {
  std::string frame;
  std::string fault;  // "counter", "checksum", "length"
  std::uint64_t before = 0, frames_before = 0;
  std::uint64_t after = 0, frames_after = 0;
};

struct TrafficComparison {
  std::vector<OneSided> only_before;
  std::vector<OneSided> only_after;
  std::vector<PeriodChange> period;
  std::vector<LengthChange> length;
  std::vector<RateChange> rate;
  std::vector<JitterChange> jitter;
  std::vector<BitChange> bits;
  std::vector<ConstantChange> constants;
  std::vector<MovedFrame> moved;
  std::vector<FaultChange> faults;
  std::vector<BusChange> buses;           // all; those without reasons did not change
  std::vector<std::string> silent_units;  // asked in both sessions, answering in the first only
  std::uint64_t in_both = 0;              // identifiers

  // Nothing that is more than chance changed. Constants are not asked: a date is one, too.
  bool Same() const;
};

// True when `count` events that are all on this side may be there by chance (kChance).
bool MayBeChance(std::uint64_t count, double here, double there);

}  // namespace proofdrive::analysis
