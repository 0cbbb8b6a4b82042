// Asks a running proofdrived over its control socket.
#pragma once

#include <string>

#include "core/base/result.h"
#include "tools/shell/option_list.h"

namespace proofdrive::tools {

// `--socket`, the same for every command that talks to the daemon.
void AddSocketOption(OptionList& options, std::string& socket);

// Sends one request and waits for the answer, at most a minute. `socket` empty: the default path.
// Gives the JSON text of a good answer. kUnavailable when no daemon answers, with what to do;
// kInvalidArgument with the daemon's own sentence when it refuses.
Result<std::string> AskDaemon(const std::string& socket, const std::string& method,
                              const std::string& target, const std::string& body);

}  // namespace proofdrive::tools
