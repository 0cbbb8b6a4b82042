#include "core/base/log.h"
#include "core/base/text.h"

#include <spdlog/sinks/stdout_color_sinks.h>
#include <spdlog/spdlog.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cstdlib>
#include <string>

namespace proofdrive {
namespace {

spdlog::level::level_enum ToSpdlog(LogLevel level) {
  switch (level) {
    case LogLevel::kDebug:
      return spdlog::level::debug;
    case LogLevel::kInfo:
      return spdlog::level::info;
    case LogLevel::kWarning:
      return spdlog::level::warn;
    case LogLevel::kError:
      return spdlog::level::err;
  }
  return spdlog::level::err;
}

// The level as sd-daemon(3) wants it at the start of a line.
int JournalLevel(LogLevel level) {
  switch (level) {
    case LogLevel::kDebug:
      return 7;
    case LogLevel::kInfo:
      return 6;
    case LogLevel::kWarning:
      return 4;
    case LogLevel::kError:
      return 3;
  }
  return 3;
}

// Whether the journal reads standard error: then it keeps time and level of each line itself
// ($JOURNAL_STREAM is "DEVICE:INODE", systemd.exec(5)).
bool ErrorIsJournal() {
  const char* stream = std::getenv("JOURNAL_STREAM");
  struct stat info {};
  if (stream == nullptr || ::fstat(STDERR_FILENO, &info) != 0) return false;
  return std::to_string(info.st_dev) + ":" + std::to_string(info.st_ino) == stream;
}

class StandardErrorLog : public Log {
 public:
  explicit StandardErrorLog(LogLevel level)
      : logger_("proofdrive", std::make_shared<spdlog::sinks::stderr_color_sink_mt>()) {
    logger_.set_level(ToSpdlog(level));
    logger_.set_pattern(journal_ ? "%v" : "%Y-%m-%d %H:%M:%S.%e %^%-7l%$ %v");
    logger_.flush_on(spdlog::level::info);
  }
  void Write(LogLevel level, std::string_view text) override {
    const std::string lines = PrintableLines(text, "    ");
    if (journal_) return logger_.log(ToSpdlog(level), "<{}>{}", JournalLevel(level), lines);
    logger_.log(ToSpdlog(level), lines);
  }

 private:
  const bool journal_ = ErrorIsJournal();
  spdlog::logger logger_;
};

}  // namespace

std::unique_ptr<Log> Log::ToStandardError(LogLevel level) {
  return std::make_unique<StandardErrorLog>(level);
}

}  // namespace proofdrive
