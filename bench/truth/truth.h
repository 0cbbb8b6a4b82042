// What was really so during a scenario, as JSON text.
#pragma once

#include <cstdint>
#include <map>
#include <string>
#include <utility>
#include <vector>

#include "bench/car/car.h"
#include "bench/truth/warning_truth.h"
#include "core/frame/frame.h"

namespace proofdrive::bench {

// Frames given out, by stream; channels counted from the vehicle's first.
using FrameCounts = std::map<StreamKey, std::uint64_t>;

class Truth {
 public:
  Truth(const Car& car, std::uint64_t seed);

  // Once per step of the car.
  void Observe(const Car& car);
  std::string Json(const Car& car, const FrameCounts& counts) const;

 private:
  // Sampled once a second from 0 s on.
  struct Sample {
    double insulation_ohm = 0;
    double wet_ml = 0;
    double leak_ml_min = 0;
    double air_share = 0;
    double coolant_litres = 0;
    double pack_v = 0;
    double discharge_a = 0;
    double charge_percent = 0;
    double spread_v = 0;
    double cells_c = 0;
    double supply_v = 0;
    double speed_kmh = 0;
  };
  static Sample SampleOf(const Car& car);
  // Name of each column and where it is in a sample.
  static const std::pair<const char*, double Sample::*> kColumns[12];

  std::uint64_t seed_;
  double first_charge_;
  std::uint64_t observed_ = 0;
  std::vector<Sample> samples_;
  std::vector<WarningTruth> warnings_;
  // Taken from the terminals of the pack, J.
  double energy_out_j_ = 0;
};

}  // namespace proofdrive::bench
