#include "core/base/log.h"

#include <spdlog/sinks/stdout_color_sinks.h>
#include <spdlog/spdlog.h>

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

class StandardErrorLog : public Log {
 public:
  explicit StandardErrorLog(LogLevel level)
      : logger_("proofdrive", std::make_shared<spdlog::sinks::stderr_color_sink_mt>()) {
    logger_.set_level(ToSpdlog(level));
    logger_.set_pattern("%Y-%m-%d %H:%M:%S.%e %^%-7l%$ %v");
    logger_.flush_on(spdlog::level::info);
  }
  void Write(LogLevel level, std::string_view text) override { logger_.log(ToSpdlog(level), text); }

 private:
  spdlog::logger logger_;
};

}  // namespace

std::unique_ptr<Log> Log::ToStandardError(LogLevel level) {
  return std::make_unique<StandardErrorLog>(level);
}

}  // namespace proofdrive
