// What only a source can offer that makes its frames up.
#pragma once

#include <string>

#include "daemon/sources/can/frame_sender.h"

namespace proofdrive::daemon {

class Simulation {
 public:
  virtual ~Simulation() = default;
  // The way into its buses. Belongs to the simulation.
  virtual FrameSender& inlet() = 0;
  // What was really so, as JSON text. Any thread.
  virtual std::string TruthJson() const = 0;
};

}  // namespace proofdrive::daemon
