// Where the daemon and the tools meet when nobody says otherwise.
#pragma once

#include <string>

#include "core/base/result.h"

namespace proofdrive {

// $XDG_RUNTIME_DIR/proofdrive.sock (XDG Base Directory Specification: a folder of this user alone);
// /tmp/proofdrive-UID.sock where there is no such folder.
std::string DefaultControlSocket();

// kInvalidArgument when the path is empty or longer than a socket's name can be (unix(7)).
Status CheckControlSocketPath(const std::string& path);

}  // namespace proofdrive
