// One random car as it leaves the dice: plain numbers. What they do over time is physics/, what is
// sent of it sensors/. Units are in the names; currents are positive when the pack is discharged.
#pragma once

#include <array>
#include <cmath>
#include <cstdint>
#include <string>
#include <vector>

#include "tests/fleet/physics/cell_curves.h"
#include "tests/fleet/sensors/sensor.h"

namespace proofdrive::fleet {

struct Pack {
  CellKind kind = CellKind::kNmc622;
  int cells = 96;  // of all strings together, each sent
  int strings = 1;
  double capacity_ah = 60;  // of the pack when new
  double health = 1;        // of it now
  double start_charge = 0.6;
  // Of one cell of one string, at 25 degC and half charge after 10 s.
  double cell_mohm = 1.2;
  // Parts of it: at once, three time constants; and what comes on top within minutes and hours.
  std::array<double, 5> share = {};
  std::array<double, 4> tau_s = {};
  double warm_kj = 25, cold_kj = 40;  // per mole, above and below 5 degC
  double joint_mohm = 5;              // busbars, fuse and shunt inside the voltage that is sent
  double heat_kj_per_k = 200;
  int sensors = 12;
  // Per cell.
  std::vector<double> charge_offset, ohm_factor, capacity_factor;
  std::vector<double> volt_offset;   // V, of its measuring channel
  std::vector<double> string_share;  // of the current
  // Per temperature sensor.
  std::vector<double> gradient, sensor_offset_k;

  int series() const { return cells / strings; }
  double string_ah() const { return capacity_ah * health / strings; }
  double highest_v() const { return series() * LimitsOf(kind).full; }
};

struct HighVoltage {
  double precharge_ohm = 50;
  double link_farad = 1e-3;
  double closing_share = 0.97;  // of pack voltage at which the main contactor closes
  double hold_s = 0.05;         // reached and not yet closed
  double discharge_s = 5;       // from the pack's voltage to 60 V after opening
  double contact_mohm = 0.5;    // both main contactors
  double cable_mohm = 1;        // between them and where the link voltage is measured

  double precharge_s() const {
    return hold_s - precharge_ohm * link_farad * std::log(1 - closing_share);
  }
};

enum class MonitorKind { kPlain, kSaturates, kHolds, kTests };
struct Insulation {
  double kohm = 2000;  // both sides in parallel, contactors closed, 25 K above the air outside
  double positive_share = 0.5;  // of the leakage that goes to the positive end
  double vehicle_share = 0.5;   // of the leakage that is on the vehicle's side
  double kelvin_to_halve = 15;
  double line_farad = 1e-6;  // against the body
  MonitorKind monitor = MonitorKind::kPlain;
  double ceiling_kohm = 0;  // 0: none
  double hold_s = 1;        // between two results
  double average_s = 2;
  double test_s = 0;  // of a self-test after closing, when it shows a low reading
};

enum class PumpLaw { kFixed, kSteps, kProportional, kOnOff };
struct Loop {
  PumpLaw law = PumpLaw::kFixed;
  double rpm_low = 1500, rpm_high = 4000;
  double watt_per_krpm = 0.9;  // hydraulic, at 1000 rpm
  double exponent = 2.9;
  double electronics_w = 3;
  double l_min_per_krpm = 2.5;
  double ripple = 0.005;  // of the speed
  double volume_l = 0.5;  // between the sensors at inlet and outlet
  double exchange_w_per_k = 300;
  double target_c = 25;  // of the coolant at the inlet
  double radiator_s = 300;
  double loss_w_per_k = 5;  // pack to the air
};

struct Supply {
  bool lithium = false;
  double rested_v = 12.6;
  double awake_amps = 15;
  double milliohm = 8;
  double normal_v = 14.0;
  double eco_v = 12.8;
  bool eco = false;            // lowers its voltage while driving
  double cold_v_per_k = 0.02;  // more below 25 degC
  double wake_dip_v = 0.6;
};

// What is shown to the driver.
struct Display {
  double hidden_low = 0.05, hidden_high = 0.03;  // of the charge
  double settle_percent = 0;                     // the charge shown falls by after parking
  double settle_s = 1800;
  double km_full = 300;
  double gain_error = 0;  // of the charge shown
};

enum class StageKind { kWake, kReady, kDrive, kCharge, kRest };
struct Stage {
  StageKind kind = StageKind::kWake;
  double seconds = 0;
};
enum class ParkedNetwork { kSlow, kAwake, kSleeps };
struct Use {
  double ambient_c = 20;
  double humidity = 0.5;
  double mass_kg = 1600;
  double most_kw = 90;
  double auxiliary_w = 600;
  double town_share = 0.5;
  double charge_c_rate = 0.2;
  double standby_w = 5;
  std::vector<Stage> stages;
  ParkedNetwork parked = ParkedNetwork::kSlow;
  double wake_every_s = 600, wake_for_s = 15;
};

// What the owner has written into the definition file; 0 or empty = nothing.
struct Facts {
  std::string chemistry;  // "nmc", "lfp"
  std::string curve;      // a published one
  double cells = 0;
  double cell_most_v = 0;
  double working_v = 0;
  double capacity_ah = 0;
  double usable_kwh = 0;
  double heat_kj_per_k = 0;
  double precharge_ohm = 0;
  double pump_index_w = 0;
  double pump_rpm = 0;  // at which it was taken
  double flow_index_l = 0;
};

// What is wrong and is no number of the parts above; everything at its default: nothing.
struct Defects {
  double leak_kohm = 0;        // a leak of this size from the start; 0: none
  double leak_place = 0.3;     // along the string
  double leak_fall = 0;        // resistance lost over the recording, 0..1
  int drops = 0;               // single drops of the resistance
  double air = 0;              // fluctuation of the pump's power, one standard deviation
  double air_power = 1;        // mean power
  double blocked = 0;          // of the flow
  double pump_stands_s = 0;    // told to run
  double level_low_share = 0;  // of the recording
  double hot_spot_k = 0;
  double self_heating_k = 0;  // risen at one place over the rest
  int failed_precharges = 0;
  double failed_share = 0;      // where they end
  double precharge_s = 0;       // how long one takes; 0: as the car
  bool welded = false;          // both poles: the link stays up
  bool welded_pole = false;     // the link jumps up when pre-charge begins
  double open_path_share = -1;  // of pack voltage at the link though closed; below 0: all
  double sag_v = 0;             // lowest 12 V for a second; 0: none
  double converter_off_s = 0;
  double over_v = 0;  // 12 V while the converter works; 0: none
  bool range_zero = false;
  double shown_off = 0;  // points by which the charge shown is off
  double loop_open_s = 0;
  double crash_s = 0;          // before the end; beyond its length: all the time
  double terminal_share = 1;   // of the cells' sum at the terminals
  double standby_percent = 0;  // a day
  double frozen_cells = 0;     // share of the cell voltages that never change
  int jumps = 0;               // of the pack voltage
  double stuck_share = 0;      // of the values of one signal that are its largest number
  double sign_noise = 0;       // above 0: sign said wrongly, with this much noise (A)
};

struct Car {
  std::uint64_t seed = 0;
  Pack pack;
  HighVoltage high_voltage;
  Insulation insulation;
  Loop loop;
  Supply supply;
  Display display;
  Use use;
  Facts facts;
  Defects defects;
  SensorPlan sensors;
  bool all_roles = true;
};

}  // namespace proofdrive::fleet
