// What an attempt to begin a session leaves when it is killed before anything was stored.
#pragma once

#include <string>

#include "core/base/files.h"
#include "core/base/result.h"

namespace proofdrive::session {

// The journal is there and empty, and so is the session unless it is missing. A writer creates the
// journal first and writes to it only after the header of the session is on the disk, so nothing
// was ever stored under this name.
bool IsLeftover(Files& files, const std::string& session_path);
// REQUIRES: IsLeftover.
Status RemoveLeftover(Files& files, const std::string& session_path);

}  // namespace proofdrive::session
