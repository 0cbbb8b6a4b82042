// Where the program gets the time from, so that tests own it.
#pragma once

#include "core/base/time.h"

namespace proofdrive {

class Clock {
 public:
  virtual ~Clock() = default;
  // Both clocks, read as close together as the machine allows.
  virtual ClockPair Now() const = 0;
};

// The clocks of this machine. Thread-safe.
class SystemClock : public Clock {
 public:
  ClockPair Now() const override;
};

// Moves only when told. Not thread-safe.
class ManualClock : public Clock {
 public:
  explicit ManualClock(WallTime wall, SteadyTime steady = SteadyTime(Duration(0)))
      : now_{wall, steady} {}
  ClockPair Now() const override { return now_; }
  void Advance(Duration duration) {
    now_.wall += duration;
    now_.steady += duration;
  }
  // Somebody set the wall clock; the steady clock does not notice.
  void StepWall(Duration duration) { now_.wall += duration; }

 private:
  ClockPair now_;
};

}  // namespace proofdrive
