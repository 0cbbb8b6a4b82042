// A file with a secret: a token, a password.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

#include "core/base/result.h"

namespace proofdrive {

// The first line of the file, cut after `most` bytes. `what` names the
// file in errors, "token file". Never waits, whatever the path is. kInvalidArgument: it is no
// regular file; kPermission: others than its owner may read or write it.
Result<std::string> ReadSecretLine(const std::string& path, const std::string& what,
                                   std::size_t most);

// Makes a file that only this user may read. kAlreadyExists when there is one of this name.
Status MakeSecretFile(const std::string& path, const std::string& what, std::string_view text);

}  // namespace proofdrive
