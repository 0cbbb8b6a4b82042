// Whether codes may be cleared now: never by accident, never in a moving or charging car.
#pragma once

#include <optional>
#include <string>

#include "core/base/result.h"
#include "daemon/live/snapshot.h"

namespace proofdrive::daemon {

// kInvalidArgument says what stands against it: the car moves (role vehicle speed) or charges (role
// charge state, role pack current); or nothing is known of these, unless the user has typed a
// `reason` for going on without. kUnavailable: nothing is being recorded.
Status CheckMayClear(const Snapshot& snapshot, const std::string& reason);

// The second question: a word that was given out a short while ago must come back. One thread.
class Confirmation {
 public:
  static constexpr Duration kValid = std::chrono::minutes(5);

  // A new word of four digits; older ones are void.
  std::string Give(SteadyTime now);
  // True once, for the word given last, while it is valid.
  bool Take(const std::string& word, SteadyTime now);

 private:
  std::string word_;
  SteadyTime until_{};
};

}  // namespace proofdrive::daemon
