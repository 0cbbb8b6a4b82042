// Every command of `proofdrive`: one row each, in the order of --help.
#include "tools/shell/command.h"
#include "tools/shell/commands.h"

namespace proofdrive::tools {

std::vector<std::unique_ptr<Command>> AllCommands() {
  using Make = std::unique_ptr<Command> (*)();
  static constexpr Make kCommands[] = {
      // clang-format off
      // talk to the daemon
      MakeRecordCommand, MakeStatusCommand, MakeMarkCommand,
      // look at sessions
      MakeInfoCommand, MakeVerifyCommand, MakeRecoverCommand, MakePinCommand, MakeDecodeCommand,
      MakeCodesCommand, MakeIdentifyCommand, MakeClearCommand,
      // compare sessions
      MakeCompareCommand, MakeHistoryCommand,
      // what can be computed from one session
      MakeCheckCommand, MakeReportCommand,
      // definition files
      MakeLintCommand,
      // other formats
      MakeImportCommand, MakeExportCommand,
      // clang-format on
  };
  std::vector<std::unique_ptr<Command>> commands;
  for (const Make make : kCommands) commands.push_back(make());
  return commands;
}

}  // namespace proofdrive::tools
