// Many sessions at once, one line each.
#pragma once

#include <string>
#include <vector>

#include "output/text/session_info.h"

namespace proofdrive::output {

// A session that could not be read at all.
struct UnreadableSession {
  std::string path;
  std::string why;
};

// Sorted by the time of the first frame; ends in a newline. Names are those of the files.
std::string FormatSessionTable(std::vector<SessionInfo> infos,
                               const std::vector<UnreadableSession>& unreadable);

}  // namespace proofdrive::output
