// Conversations as JSON text, for the control socket and for events of a session, and in one line.
#pragma once

#include <string>
#include <vector>

#include "daemon/asking/questions.h"

namespace proofdrive::daemon {

struct AskedDocument {
  std::string what;    // "codes", "identification", "clear"
  std::string reason;  // "start", "end", "on demand", "before clearing", "after clearing"
  WallTime time;       // source time of its end
};

// {"what","reason","time","problem","channels":[...],"named":[...],"conversations":[...]}
// (docs/asking.md).
std::string AskedRoundJson(const AskedDocument& document, const AskedRound& round,
                           const decoders::Definitions* definitions,
                           const std::vector<session::Channel>& channels);

// "codes at the start: pack_controller 3 open (P0AA6-1A, ...); cluster silent".
std::string AskedRoundText(const AskedDocument& document, const AskedRound& round,
                           const decoders::Definitions* definitions);

}  // namespace proofdrive::daemon
