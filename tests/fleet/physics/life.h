// What truly happened to a car over its recording, before anything measured it.
#pragma once

#include <vector>

#include "tests/fleet/car/car.h"

namespace proofdrive::fleet {

enum class HvState { kOpen, kPrecharge, kClosed };

struct Moment {
  double t = 0;
  double amps = 0;
  double pack_v = 0, link_v = 0;
  double charge = 0, over_v = 0;  // of the nominal cell
  double pack_c = 0, inlet_c = 0, outlet_c = 0;
  double rpm = 0, pump_w = 0, l_min = 0;
  double supply_v = 0;
  double kmh = 0, km = 0;
  double shown = 0;  // charge shown, %
  double heat_w = 0;
  double rest_share = 0;  // of the last rest
  HvState hv = HvState::kOpen;
  bool charging = false;
  bool pump_told = false;
  bool converter = false;
};

struct Phase {
  StageKind kind = StageKind::kWake;
  double from_s = 0, to_s = 0;
};

struct Life {
  std::vector<Moment> moments;  // time never falls
  std::vector<Phase> phases;
  double length_s = 0;
};

Life Live(const Car& car);

// Between the moments; whole states are those of the earlier one. Calls go forward in time.
class Clock {
 public:
  explicit Clock(const Life& life) : life_(&life) {}
  // The moment at or before `t`, and how far the next one is gone, 0..1.
  void Seek(double t);
  const Moment& now() const { return life_->moments[index_]; }
  double Value(double Moment::*field) const {
    return now().*field + part_ * (next().*field - now().*field);
  }

 private:
  const Moment& next() const;
  const Life* life_;
  std::size_t index_ = 0;
  double part_ = 0;
};

}  // namespace proofdrive::fleet
