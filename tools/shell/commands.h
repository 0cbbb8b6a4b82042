// Makers of every command; each is defined in the file of its name.
#pragma once

#include <memory>

#include "tools/shell/command.h"

namespace proofdrive::tools {

std::unique_ptr<Command> MakeInfoCommand();
std::unique_ptr<Command> MakeVerifyCommand();
std::unique_ptr<Command> MakeRecoverCommand();
std::unique_ptr<Command> MakePinCommand();
std::unique_ptr<Command> MakeDecodeCommand();
std::unique_ptr<Command> MakeCodesCommand();
std::unique_ptr<Command> MakeIdentifyCommand();
std::unique_ptr<Command> MakeClearCommand();
std::unique_ptr<Command> MakeCompareCommand();
std::unique_ptr<Command> MakeCheckCommand();
std::unique_ptr<Command> MakeHistoryCommand();
std::unique_ptr<Command> MakeReportCommand();
std::unique_ptr<Command> MakeLintCommand();
std::unique_ptr<Command> MakeImportCommand();
std::unique_ptr<Command> MakeExportCommand();
std::unique_ptr<Command> MakeRecordCommand();
std::unique_ptr<Command> MakeStatusCommand();
std::unique_ptr<Command> MakeMarkCommand();

}  // namespace proofdrive::tools
