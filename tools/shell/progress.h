// One moving line on a terminal while something takes longer than a second.
#pragma once

#include <cstdint>
#include <functional>
#include <string>

#include "core/base/clock.h"
#include "tools/shell/command.h"

namespace proofdrive::tools {

// Draws nothing when standard error is not a terminal. One thread at a time.
class Progress {
 public:
  // `what`: "import x.pcapng". `environment` and `clock` must outlive the object.
  Progress(Environment& environment, std::string what, const Clock& clock = SystemClockOfTools());
  // Removes the line.
  ~Progress();
  Progress(const Progress&) = delete;
  Progress& operator=(const Progress&) = delete;

  // Cheap enough to be called every few thousand frames.
  void Update(std::uint64_t done, std::uint64_t all);
  // The same as a function to hand down; valid as long as this object.
  std::function<void(std::uint64_t, std::uint64_t)> Function();

 private:
  static const Clock& SystemClockOfTools();

  Environment& environment_;
  std::string what_;
  const Clock& clock_;
  SteadyTime started_;
  SteadyTime drawn_;
  bool shown_ = false;
};

}  // namespace proofdrive::tools
