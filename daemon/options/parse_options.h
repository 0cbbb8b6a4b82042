// Options from the command line and the configuration file.
#pragma once

#include <optional>
#include <string>

#include "core/base/files.h"
#include "core/base/result.h"
#include "daemon/options/options.h"

namespace proofdrive::daemon {

// Options, or an answer to --help, --version and --example-config.
struct ParsedOptions {
  std::optional<std::string> answer;
  Options options;
};

// The command line, and the file it names with --config, which it overrides. kInvalidArgument: one
// mistake per line, those of the file as FILE:LINE:COLUMN with the line. Never throws.
Result<ParsedOptions> ParseOptions(int argc, const char* const* argv, Files& files);

}  // namespace proofdrive::daemon
