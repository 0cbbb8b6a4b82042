// One subcommand of `proofdrive`. One file in commands/ and one row in command_table.cc each.
#pragma once

#include <iosfwd>
#include <memory>
#include <string>
#include <vector>

#include "core/base/files.h"
#include "core/base/result.h"
#include "tools/shell/exit_code.h"
#include "tools/shell/option_list.h"

namespace proofdrive::tools {

// What a command may touch, so that tests can run it in-process.
struct Environment {
  Files& files;
  std::ostream& out;      // results
  std::ostream& err;      // progress and messages
  bool terminal = false;  // err is a terminal: progress may be drawn
};

class Command {
 public:
  virtual ~Command() = default;
  virtual std::string name() const = 0;     // "info"
  virtual std::string summary() const = 0;  // one line
  virtual std::string example() const = 0;  // a command line that works, shown by --help
  // Adds options that write to members of this object. Called once, before Run.
  virtual void AddOptions(OptionList& options) = 0;
  // A status is shown to the user as one sentence and ends with ExitCode::kUsage.
  virtual Result<ExitCode> Run(Environment& environment) = 0;
};

// Every command, in the order of --help.
std::vector<std::unique_ptr<Command>> AllCommands();

// Parses the command line and runs one command. Never throws; returns the process's exit code.
int RunTool(int argc, const char* const* argv, Environment& environment);

// RunTool on the real files and streams.
int ToolMain(int argc, char** argv);

}  // namespace proofdrive::tools
