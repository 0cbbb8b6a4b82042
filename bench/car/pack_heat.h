// Temperatures of the pack: one mass of cells, one of coolant and cold plates, and the way of the
// coolant through the radiator back to the inlet.
#pragma once

#include <array>
#include <cstddef>

#include "bench/car/defects.h"
#include "bench/car/random.h"

namespace proofdrive::bench {

inline constexpr std::size_t kTemperatureSensorCount = 24;

class PackHeat {
 public:
  PackHeat(Random& random, double cells_c, double ambient_c, const HotSpot& hot = {});

  // `heat_w` made in the cells, `flow_l_min` of coolant.
  void Step(double dt, double heat_w, double flow_l_min);

  double cells_c() const { return cells_c_; }
  double inlet_c() const { return inlet_c_; }
  double outlet_c() const { return outlet_c_; }
  double ambient_c() const { return ambient_c_; }
  // Cell temperature where a sensor sits: those near the inlet are cooled more.
  double SensorTemperature(std::size_t index) const;

 private:
  double cells_c_;
  double outlet_c_;
  double inlet_c_;
  double ambient_c_;
  HotSpot hot_;
  double minutes_ = 0;
  std::array<double, kTemperatureSensorCount> sensor_offset_c_;
};

}  // namespace proofdrive::bench
