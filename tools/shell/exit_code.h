// Exit codes of every command (part of the command contract; scripts rely on them).
#pragma once

namespace proofdrive::tools {

enum class ExitCode : int {
  kDone = 0,      // done, and nothing is open
  kOpen = 1,      // done, and something is still on, came back, is new, or a check failed
  kUsage = 2,     // wrong use or unreadable input
  kUnproven = 3,  // done, and something is not proven or has no evidence
  kDamaged = 4,   // the input is damaged; the readable part was used
};

}  // namespace proofdrive::tools
