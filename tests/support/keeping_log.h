// A log that keeps its lines, for tests of what a program says.
#pragma once

#include <mutex>
#include <string>
#include <vector>

#include "core/base/log.h"

namespace proofdrive::testing {

// Thread-safe.
class KeepingLog : public Log {
 public:
  void Write(LogLevel, std::string_view text) override {
    const std::lock_guard lock(mutex_);
    lines_.emplace_back(text);
  }
  std::vector<std::string> lines() const {
    const std::lock_guard lock(mutex_);
    return lines_;
  }

 private:
  mutable std::mutex mutex_;
  std::vector<std::string> lines_;
};

}  // namespace proofdrive::testing
