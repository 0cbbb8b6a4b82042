// Every command of `proofdrive`: one row each, in the order of --help. A row NAME stands for
// MakeNAMECommand, defined in the file of that command.
#include "tools/shell/command.h"

namespace proofdrive::tools {

// clang-format off
#define PROOFDRIVE_COMMANDS(ROW) \
  /* talk to the daemon */ \
  ROW(Record) ROW(Status) ROW(Mark) \
  /* look at sessions */ \
  ROW(Info) ROW(Verify) ROW(Recover) ROW(Pin) ROW(Measured) ROW(Decode) ROW(Codes) ROW(Identify) ROW(Clear) \
  /* compare sessions */ \
  ROW(Compare) ROW(History) \
  /* what can be computed from one session */ \
  ROW(Check) ROW(Report) \
  /* definition files */ \
  ROW(Lint) ROW(Survey) \
  /* other formats */ \
  ROW(Import) ROW(Export)
// clang-format on

#define PROOFDRIVE_DECLARE(name) std::unique_ptr<Command> Make##name##Command();
PROOFDRIVE_COMMANDS(PROOFDRIVE_DECLARE)
#undef PROOFDRIVE_DECLARE

std::vector<std::unique_ptr<Command>> AllCommands() {
  std::vector<std::unique_ptr<Command>> commands;
#define PROOFDRIVE_MAKE(name) commands.push_back(Make##name##Command());
  PROOFDRIVE_COMMANDS(PROOFDRIVE_MAKE)
#undef PROOFDRIVE_MAKE
  return commands;
}

}  // namespace proofdrive::tools
