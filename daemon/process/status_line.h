// One line at the bottom of a terminal that is drawn again every second, and a log that stays clear
// of it.
#pragma once

#include <iosfwd>
#include <mutex>
#include <string>

#include "core/base/log.h"
#include "daemon/live/snapshot.h"

namespace proofdrive::daemon {

// "recording repair-1  3 min 05 s  1,204 frames/s  2 warnings on  0 lost"
std::string StatusLineText(const Snapshot& snapshot);

// Log lines go to `log`; between them the status line stands on `terminal`. Thread-safe.
class StatusLine : public Log {
 public:
  StatusLine(Log& log, std::ostream& terminal) : log_(log), terminal_(terminal) {}
  ~StatusLine() override { Clear(); }

  void Show(const std::string& text);
  void Clear();
  void Write(LogLevel level, std::string_view text) override;

 private:
  void Draw();
  void Erase();

  Log& log_;
  std::ostream& terminal_;
  std::mutex mutex_;
  std::string text_;
};

}  // namespace proofdrive::daemon
