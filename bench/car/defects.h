// What may be wrong with the bench vehicle besides its coolant: parts that fail, and sensors that
// only make it look so. Everything is off unless a scenario sets it.
#pragma once

#include <cstddef>

namespace proofdrive::bench {

// One cell that differs from its neighbours. Index from 0; -1 = none.
struct CellDefect {
  int index = -1;
  double ohm_factor = 1;
  double charge = 0;  // added to its state of charge, 0..1
  double capacity_factor = 1;
};

struct ContactorDefect {
  bool welded = false;       // both poles: the link never leaves the pack
  bool one_welded = false;   // the one beside the pre-charge resistor: the link is up at once
  bool no_bleed = false;     // the active discharge does not work: the link falls slowly
  double load_ohm = 0;       // a load left on behind the contactors; 0 = none
  double contact_ohm = 0;    // across the closed contactors
  bool never_close = false;  // commanded, but nothing moves
};

// A place in the pack that is warmer than the rest, felt half by both neighbours.
struct HotSpot {
  int sensor = -1;
  double kelvin = 0;
  double kelvin_per_minute = 0;  // growing
  bool neighbours = true;        // false: only the sensor is off
};

// What is wrong with values on their way to the bus.
struct SenderDefect {
  bool current_sign_wrong = false;
  int frozen_cell = -1;  // sends its first value for ever
  int sense_lead = -1;   // this cell reads high by `sense_v`, the next one as much too low
  double sense_v = 0;
  bool charge_lost = false;  // the state of charge is sent as 0
  double charge_shift = 0;   // added to the state of charge that is sent, 0..1
  double charge_rebase = 0;  // the same, only during the first minute: the value settles
};

struct Defects {
  CellDefect cell;
  double joint_ohm = 0;        // of a loose joint in the string
  double capacity_factor = 1;  // of all cells: age
  double parked_a = 0;         // taken from the pack while the contactors are open
  ContactorDefect contactor;
  HotSpot hot;
  SenderDefect sender;
  double monitor_dip = 0;   // share by which the monitor reads low after something switched
  double vehicle_ohm = 0;   // insulation of the vehicle's side, seen while closed; 0 = perfect
  double start_load_a = 0;  // taken from the 12 V battery for a moment at 2 s
};

// A load (positive) or source on the high-voltage circuit from `at_s` on.
struct LoadStep {
  double at_s = 0;
  double amps = 0;
};

}  // namespace proofdrive::bench
