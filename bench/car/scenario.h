// A story the bench vehicle can tell: what state the car is in and what happens when.
#pragma once

#include <cstdint>
#include <string_view>
#include <vector>

#include "bench/car/cell_pack.h"
#include "bench/car/coolant_loop.h"
#include "bench/car/defects.h"
#include "bench/car/insulation.h"
#include "bench/car/supply_12v.h"

namespace proofdrive::bench {

// What somebody does to the car, or what happens to it.
enum class Action {
  kPumpOff,
  kPumpLow,
  kPumpHigh,
  kRequestDrive,  // start button pressed: contactors asked to close
  kReleaseDrive,
  kInterlockOpens,  // a high-voltage connector is moved
  kInterlockCloses,
  kPlugIn,  // charging cable
  kUnplug,
};

struct TimedAction {
  double at_s = 0;
  Action action = Action::kPumpOff;
};

// A frame that a software update changed.
struct FrameChange {
  std::string_view frame;
  bool vanishes = false;
  std::uint32_t new_id = 0;     // 0 = unchanged
  std::uint32_t period_ms = 0;  // 0 = unchanged
};

struct Version {
  std::uint8_t major = 0;
  std::uint8_t minor = 0;
};

struct Scenario {
  std::string_view name;
  std::string_view description;
  double seconds = 120;

  double charge = 0.58;  // mean state of charge of the pack
  double cells_c = 16;
  double ambient_c = 15;
  CellDrain drain;
  CoolantSetup coolant;
  double leak_into_pack = 0;  // share of the leak that wets the cells
  InsulationSetup insulation;
  SupplySetup supply;
  bool crash_latched = false;
  // The range estimate must be learned again by driving this far, m; 0 = learned.
  double learn_m = 0;
  double drive_seconds = 0;
  bool automatic_pump = false;
  // Temperature sensor that is broken, from 0; -1 = none.
  int broken_sensor = -1;
  Defects defects;
  std::vector<LoadStep> load;  // in order of time; besides driving and charging
  std::vector<std::string_view> silent_units;
  std::vector<FrameChange> changes;
  Version pack_software{4, 2};
  Version inverter_software{2, 7};
  Version cluster_software{1, 9};
  std::vector<TimedAction> timeline;  // in order of time
};

}  // namespace proofdrive::bench
