// Everything a car sent over its recording: values as a definition file would give them.
#pragma once

#include <string>
#include <vector>

#include "tests/fleet/car/car.h"
#include "tests/fleet/physics/life.h"
#include "tests/fleet/random.h"

namespace proofdrive::fleet {

// One element of one signal over time, in the unit of the role, rounded as it was sent.
struct SentTrack {
  std::vector<double> time_s, value;
};

struct SentSignal {
  std::string role;
  std::string name;
  Sensor sensor;                  // not of states
  std::vector<StateName> states;  // values are these numbers when there are any
  bool is_series = false;
  int per_page = 1;
  std::string positive;
  std::vector<SentTrack> elements;
};

struct Sent {
  double length_s = 0;
  std::vector<SentSignal> signals;
};

Sent Send(const Car& car, const Life& life);

// `truth` (in the unit of the role) as this sensor sends it, given back in the unit of the role.
double Measured(const Sensor& sensor, double truth, Random& random);

// When a frame with this sensor's period is sent.
std::vector<double> Schedule(const Life& life, const Use& use, const Sensor& sensor,
                             Random& random);

}  // namespace proofdrive::fleet
