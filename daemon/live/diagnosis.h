// What is wrong with the daemon's surroundings, in words, and what to do about it.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "daemon/live/snapshot.h"

namespace proofdrive::daemon {

enum class Urgency {
  kLoss,     // frames are being lost, or nothing is recorded that should be
  kTrouble,  // something does not work as it should
  kAdvice,   // could be better
};
std::string_view UrgencyName(Urgency urgency);  // "loss", "trouble", "advice"

struct Problem {
  Urgency urgency = Urgency::kAdvice;
  std::optional<std::uint8_t> channel;  // nullopt: not of one channel
  std::string what;                     // one sentence: what is so
  std::string remedy;                   // one or two sentences: what to do
};

// How long a bus must be silent before that is said, and a bus with traffic undescribed.
inline constexpr Duration kSilence = std::chrono::seconds(5);

// The most urgent first; empty when nothing is known to be wrong. Depends on `snapshot` alone.
std::vector<Problem> Diagnose(const Snapshot& snapshot);

}  // namespace proofdrive::daemon
