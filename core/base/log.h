// Log lines of the two programs, in words. Libraries below the programs do not log: they return a
// status. This header and log.cc are the only users of spdlog.
#pragma once

#include <memory>
#include <string>
#include <string_view>

namespace proofdrive {

enum class LogLevel { kDebug, kInfo, kWarning, kError };

// Where log lines go. One per program, created in its main; thread-safe.
class Log {
 public:
  // Lines of `level` and above go to standard error, with time and level; where the systemd journal
  // reads it, with the level in its way and without time.
  static std::unique_ptr<Log> ToStandardError(LogLevel level);
  virtual ~Log() = default;
  virtual void Write(LogLevel level, std::string_view text) = 0;

  void Debug(std::string_view text) { Write(LogLevel::kDebug, text); }
  void Info(std::string_view text) { Write(LogLevel::kInfo, text); }
  void Warning(std::string_view text) { Write(LogLevel::kWarning, text); }
  void Error(std::string_view text) { Write(LogLevel::kError, text); }
};

}  // namespace proofdrive
