// Every file name the store makes.
#pragma once

#include <string>

#include "core/base/result.h"

namespace proofdrive::session {

// kInvalidArgument unless the path ends in ".session" after at least one other character.
Status CheckSessionPath(const std::string& path);
// "x.session" -> "x.journal", "x.recovered.session".
std::string JournalPath(const std::string& session_path);
std::string RecoveredPath(const std::string& session_path);
// Where the next journal is prepared before it replaces the present one.
std::string NextJournalPath(const std::string& session_path);

}  // namespace proofdrive::session
