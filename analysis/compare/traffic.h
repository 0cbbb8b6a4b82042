// What changed in the traffic itself: identifiers that vanished or appeared, periods, lengths.
// Needs no definitions. Made not to raise an alarm on two halves of one healthy recording.
#pragma once

#include <cstdint>
#include <map>
#include <string>
#include <vector>

#include "analysis/session_findings.h"

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

struct TrafficComparison {
  std::vector<OneSided> only_before;
  std::vector<OneSided> only_after;
  std::vector<PeriodChange> period;
  std::vector<LengthChange> length;
  std::uint64_t in_both = 0;  // identifiers
};

// Channels are matched by their bus or interface name, the others by number.
TrafficComparison CompareTraffic(const SessionFindings& before, const SessionFindings& after);

}  // namespace proofdrive::analysis
