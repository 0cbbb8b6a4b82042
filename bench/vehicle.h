// The bench vehicle: an INVENTED electric car, simulated, for demonstrations and tests.
//
// A seeded physical model (96 cells, coolant loop, insulation, contactors, 12 V supply, drive) that
// emits frames on two buses with counters, checksums, pages and jitter. The same seed gives the
// same frames, bit for bit.
#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include "core/base/result.h"
#include "core/frame/frame.h"

namespace proofdrive::bench {

struct Scenario;  // bench/car/scenario.h

struct VehicleOptions {
  std::string scenario;
  std::uint64_t seed = 1;
  WallTime start;                  // simulated time of the first instant
  std::uint8_t first_channel = 0;  // number of kPackBus (bench/frames/buses.h) in the session
};

class Vehicle {
 public:
  // kNotFound names the possible scenarios.
  static Result<std::unique_ptr<Vehicle>> Create(const VehicleOptions& options);
  // A story that is in no table, for tests; `options.scenario` is not used.
  static std::unique_ptr<Vehicle> Create(const Scenario& scenario, const VehicleOptions& options);
  virtual ~Vehicle() = default;

  // Length of the scenario; frames end there.
  virtual Duration duration() const = 0;
  // Appends every frame with start <= time < start + `until` not given before, in order of time.
  // Returns false when the scenario is over.
  virtual bool Run(Duration until, std::vector<Frame>& frames) = 0;
  // A frame that somebody sends on one of its buses (Frame::channel as given out), a tester's
  // request for example: goes out as soon as the bus is free. Frames of other channels are ignored.
  virtual void Inject(const Frame& frame) { (void)frame; }

  // What was really so, as JSON text: written beside the session, never read by the tools; tests
  // compare findings with it. Says "invented".
  virtual std::string TruthJson() const = 0;
};

}  // namespace proofdrive::bench
