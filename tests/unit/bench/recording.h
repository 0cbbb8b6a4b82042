// A whole scenario of the bench vehicle, run once for all tests that only look at it.
#pragma once

#include <map>
#include <string>
#include <utility>
#include <vector>

#include <nlohmann/json.hpp>

#include "bench/scenarios/scenarios.h"
#include "bench/vehicle.h"
#include "core/frame/frame.h"

namespace proofdrive::bench {

inline constexpr WallTime kStart{std::chrono::seconds(1'700'000'000)};

struct Recording {
  std::vector<Frame> frames;
  nlohmann::json truth;
  Duration duration{0};
};

inline Recording Record(const std::string& scenario, std::uint64_t seed = 1) {
  VehicleOptions options;
  options.scenario = scenario;
  options.seed = seed;
  options.start = kStart;
  const auto created = Vehicle::Create(options);
  Vehicle* vehicle = created.value().get();
  Recording recording;
  recording.duration = vehicle->duration();
  vehicle->Run(vehicle->duration(), recording.frames);
  recording.truth = nlohmann::json::parse(vehicle->TruthJson());
  return recording;
}

// The same for all tests of the program; made when first asked for.
inline const Recording& Recorded(const std::string& scenario, std::uint64_t seed = 1) {
  static std::map<std::pair<std::string, std::uint64_t>, Recording> recordings;
  const auto key = std::make_pair(scenario, seed);
  const auto found = recordings.find(key);
  return found != recordings.end() ? found->second
                                   : recordings.emplace(key, Record(scenario, seed)).first->second;
}

inline double SecondsIn(const Frame& frame) { return ToSeconds(frame.time - kStart); }

inline std::vector<std::string> ScenarioNames() {
  std::vector<std::string> names;
  for (const ScenarioInfo& info : Scenarios()) names.emplace_back(info.name);
  return names;
}

// Big-endian value of two bytes.
inline unsigned Word(const Frame& frame, std::size_t first) {
  return (static_cast<unsigned>(frame.data[first]) << 8) | frame.data[first + 1];
}

}  // namespace proofdrive::bench
