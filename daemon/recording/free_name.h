// Names of sessions that nothing is in the way of.
#pragma once

#include <string>

#include "core/base/files.h"

namespace proofdrive::daemon {

// "directory/name.session".
std::string SessionPath(const std::string& directory, const std::string& name);
// `base`, or when a session, a part or a journal of that name is there "base-2", "base-3", ...
std::string FreeName(Files& files, const std::string& directory, const std::string& base);

}  // namespace proofdrive::daemon
