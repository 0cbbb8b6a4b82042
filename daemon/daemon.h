// The daemon as one function: builds the parts, owns the threads, shuts down in order.
//
// Threads: each source has one, writing has one (Pipeline), the control socket has one. They meet
// in the frame queue and in an immutable snapshot, so a slow client never delays a frame.
#pragma once

#include <iosfwd>

#include "core/base/clock.h"
#include "core/base/files.h"
#include "core/base/log.h"
#include "daemon/options/options.h"
#include "daemon/process/stop_flag.h"

namespace proofdrive::daemon {

// The machine as the daemon sees it, so that tests can run it in-process. The clock is read by
// several threads: one that is moved meanwhile must allow that.
struct Environment {
  Files& files;
  const Clock& clock;
  Log& log;
  StopFlag& stop;                      // ends the daemon in good order; set by itself too
  std::ostream* terminal = nullptr;    // for the status line; null: no terminal
  CanInterfaceMaker can_interfaces{};  // empty: the CAN interfaces of this machine
};

// Returns when `stop` was asked, or the recording of Options::record has ended. A failure at the
// start, and a recording of Options::record that ended early, is one sentence for the user.
Status RunDaemon(const Options& options, Environment& environment);

// RunDaemon on the real machine: 0 = ended in good order, 2 = said on standard error why not.
int DaemonMain(int argc, char** argv);

}  // namespace proofdrive::daemon
