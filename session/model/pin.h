// A pinned session is never deleted by the recorder to make room. The pin is a small file beside
// the session, so that the session itself stays untouched: NAME.pinned for all parts of NAME.
#pragma once

#include <string>

#include "core/base/files.h"
#include "core/base/result.h"

namespace proofdrive::session {

// "d/x.session" and "d/x.part-0002.session" -> "d/x.pinned".
std::string PinPath(const std::string& session_path);
bool IsPinned(Files& files, const std::string& session_path);
// Durable on return; no error when it is so already.
Status SetPinned(Files& files, const std::string& session_path, bool pinned);

}  // namespace proofdrive::session
