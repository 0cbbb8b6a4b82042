// Faults of: signals, cooling, supply.
#include <algorithm>

#include "tests/fleet/faults/fault_rows.h"
#include "tests/fleet/physics/cooling.h"

namespace proofdrive::fleet {
namespace {

void SpreadTemperatures(Car& car, double kelvin) {
  car.pack.sensor_offset_k.front() -= kelvin / 2;
  car.pack.sensor_offset_k.back() += kelvin / 2;
}

void StandPump(Car& car, double seconds) { car.defects.pump_stands_s = seconds; }

void KnowPump(Car& car) {
  car.facts.pump_index_w = FullLoopIndex(car.loop);
  car.facts.pump_rpm = (car.loop.rpm_low + car.loop.rpm_high) / 2;
}

constexpr FaultRow kRows[] = {
    {"signals-frozen",
     "signals",
     "cell voltages that never change",
     "% of the cells",
     {0.1, 2, 5, 10, 30},
     0,
     [](Car& car, double size) { car.defects.frozen_cells = size / 100; }},
    {"signals-jumps",
     "signals",
     "pack voltage that jumps and comes back",
     "jumps",
     {1, 3, 10, 30, 100},
     3,
     [](Car& car, double size) { car.defects.jumps = static_cast<int>(size); }},
    {"signals-stuck",
     "signals",
     "inlet temperature stuck at the end of its range",
     "% of the time",
     {30, 60, 75, 90, 100},
     1,
     [](Car& car, double size) { car.defects.stuck_share = size / 100; }},
    {"signals-sign",
     "signals",
     "sign of the current said wrongly",
     "resolution, A",
     {2, 1, 0.5, 0.2, 0.1},
     2,
     [](Car& car, double size) {
       car.sensors.positive = car.sensors.current_turned ? "discharge" : "charge";
       car.sensors.values["pack current"].step = size;
     }},
    {"cooling-air",
     "cooling",
     "pump power fluctuates by",
     "%",
     {6, 12, 18, 25, 40},
     4,
     [](Car& car, double size) {
       car.defects.air = size / 100;
       car.defects.air_power = 1 - size / 100;
     }},
    {"cooling-dry",
     "cooling",
     "pump power, known for a full loop, left",
     "%",
     {95, 85, 70, 45, 20},
     4,
     [](Car& car, double size) {
       car.defects.air_power = size / 100;
       KnowPump(car);
     }},
    {"cooling-blocked",
     "cooling",
     "flow that is blocked",
     "%",
     {10, 20, 35, 60, 90},
     3,
     [](Car& car, double size) {
       car.defects.blocked = size / 100;
       KnowPump(car);
       car.facts.flow_index_l = car.loop.l_min_per_krpm;
     }},
    {"cooling-stands",
     "cooling",
     "pump told to run stands",
     "s",
     {3, 8, 15, 40, 300},
     2,
     StandPump},
    {"cooling-level",
     "cooling",
     "coolant level low",
     "% of the time",
     {5, 15, 30, 60, 100},
     1,
     [](Car& car, double size) { car.defects.level_low_share = size / 100; }},
    {"cooling-spread",
     "cooling",
     "cell temperatures differ by",
     "K",
     {4, 6, 8, 12, 20},
     2,
     SpreadTemperatures},
    {"cooling-hot-spot",
     "cooling",
     "one place warmer by",
     "K",
     {1, 2, 3, 5, 10},
     3,
     [](Car& car, double size) { car.defects.hot_spot_k = size; }},
    {"cooling-self-heating",
     "cooling",
     "one place warms at rest by",
     "K",
     {0.5, 1, 2, 4, 10},
     2,
     [](Car& car, double size) { car.defects.self_heating_k = size; }},
    {"supply-sag",
     "supply",
     "12 V falls for a second to",
     "V",
     {11.3, 10.5, 9.5, 8.5, 6.5},
     1,
     [](Car& car, double size) { car.defects.sag_v = size; }},
    {"supply-converter",
     "supply",
     "converter stops for",
     "s",
     {2, 5, 15, 60, 600},
     2,
     [](Car& car, double size) { car.defects.converter_off_s = size; }},
    {"supply-over",
     "supply",
     "converter gives",
     "V",
     {15.6, 16, 16.5, 17, 18},
     1,
     [](Car& car, double size) { car.defects.over_v = size; }},
};

}  // namespace

std::span<const FaultRow> CarFaults() { return kRows; }

}  // namespace proofdrive::fleet
