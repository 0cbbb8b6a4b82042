// The command line of proofdrived. Everything about it is checked here, so that the parts that are
// built from Options need not.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/base/log.h"
#include "core/base/result.h"
#include "daemon/record_request.h"
#include "daemon/sources/source_table.h"

namespace proofdrive::daemon {

struct Options {
  std::vector<SourceSpec> sources;       // at least one, no two the same
  std::vector<std::string> definitions;  // paths
  std::string sessions = ".";            // folder
  std::optional<RecordRequest> record;   // record at once and end with the recording
  std::string socket;                    // path of the control socket
  LogLevel log_level = LogLevel::kInfo;
};

// Options, or an answer to --help and --version.
struct ParsedOptions {
  std::optional<std::string> answer;
  Options options;
};

// kInvalidArgument says in one sentence what to write instead. Never throws.
Result<ParsedOptions> ParseOptions(int argc, const char* const* argv);

}  // namespace proofdrive::daemon
