// Leakage of the high-voltage circuit to the body, and what a monitor makes of it.
#pragma once

#include "tests/fleet/physics/life.h"

namespace proofdrive::fleet {

struct Leakage {
  double kohm = 0;        // of everything in parallel
  double negative_v = 0;  // from the negative end to the body
  double positive_v = 0;  // from the body to the positive end
};
// `part`: how much of the recording is gone, 0..1; only what lies on the pack's side counts while
// the contactors are open.
Leakage LeakageOf(const Car& car, double pack_c, double pack_v, bool closed, double part);

struct Reading {
  double t = 0;
  double kohm = 0;
  bool closed = false;
};
// What the monitor has at hand over the recording, before noise and resolution.
std::vector<Reading> MonitorReadings(const Car& car, const Life& life);

}  // namespace proofdrive::fleet
