// What was freed, back to the system.
#pragma once

namespace proofdrive::analysis {

// The C library keeps much of what large vectors leave behind, in holes that the next ones may not
// fit. To be called after hundreds of megabytes or a whole stage of work, not in a loop. Does
// nothing where the library has no way to do it.
void ReturnFreeMemory();

}  // namespace proofdrive::analysis
