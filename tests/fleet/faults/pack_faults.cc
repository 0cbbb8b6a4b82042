// Faults of: cells: balance, resistance, capacity, charge shown, standby.
#include <algorithm>

#include "tests/fleet/faults/fault_rows.h"

namespace proofdrive::fleet {
namespace {

bool IsNickel(const Car& car) {
  const CellKind kind = car.pack.kind;
  return kind != CellKind::kLfp && kind != CellKind::kLfpFlat && kind != CellKind::kLmo &&
         kind != CellKind::kNca;
}

bool OneString(const Car& car) { return car.pack.strings == 1; }

std::size_t MiddleCell(const Car& car) { return static_cast<std::size_t>(car.pack.cells / 3); }

// The last rest is a night, so that a loss can show.
void StandANight(Car& car) {
  Stage& last = car.use.stages.back();
  last.seconds = std::max(last.seconds, 9.0 * 3600);
}

// Two proper rests with enough charge between them, and what the check has to know.
void ChargeBetweenRests(Car& car) {
  Use& use = car.use;
  const double rest = use.stages.back().seconds;
  car.pack.start_charge = 0.5;
  use.charge_c_rate = 0.3;
  use.stages = {use.stages[0],
                use.stages[1],
                use.stages[2],
                use.stages[3],
                {StageKind::kRest, rest},
                {StageKind::kCharge, 3600 * 0.4 * car.pack.health / use.charge_c_rate},
                {StageKind::kRest, rest}};
  car.facts.chemistry = "nmc";
  car.facts.curve = PublishedCurveOf(car.pack.kind);
  car.facts.capacity_ah = car.pack.capacity_ah;
}

void LowerFourCells(Car& car, double percent) {
  const std::size_t first = MiddleCell(car);
  for (std::size_t i = first; i < first + 4; ++i) car.pack.charge_offset[i] -= percent / 100;
}

void LowerOneCell(Car& car, double mv) { car.pack.volt_offset[MiddleCell(car)] -= mv / 1000; }

void ShiftSenseLine(Car& car, double mv) {
  car.pack.volt_offset[MiddleCell(car)] += mv / 2000;
  car.pack.volt_offset[MiddleCell(car) + 1] -= mv / 2000;
}

void LoosenJoint(Car& car, double percent) {
  const double cells = car.pack.cell_mohm * car.pack.series() / car.pack.strings;
  car.pack.joint_mohm += percent / 100 * cells;
}

void LoseCapacity(Car& car, double share) {
  car.pack.health = share;
  ChargeBetweenRests(car);
}

constexpr FaultRow kRows[] = {
    {"balance-low-cells",
     "balance",
     "four cells low by",
     "% of charge",
     {1, 2, 4, 8, 15},
     3,
     LowerFourCells,
     IsNickel},
    {"balance-low-cell",
     "balance",
     "one cell low at rest by",
     "mV",
     {15, 30, 50, 110, 250},
     2,
     LowerOneCell},
    {"balance-sense",
     "balance",
     "between two sense lines",
     "mV",
     {10, 20, 40, 80, 200},
     2,
     ShiftSenseLine},
    {"resistance-cell",
     "resistance",
     "one weak cell, times the others",
     "x",
     {1.2, 1.3, 1.45, 1.6, 2.5},
     3,
     [](Car& car, double size) { car.pack.ohm_factor[MiddleCell(car)] *= size; }},
    {"resistance-joint",
     "resistance",
     "loose joint, of the sum of the cells",
     "%",
     {10, 25, 40, 80, 150},
     3,
     LoosenJoint,
     OneString},
    {"capacity-lost",
     "capacity",
     "capacity left",
     "% of new",
     {85, 80, 75, 65, 50},
     3,
     [](Car& car, double size) { LoseCapacity(car, size / 100); },
     IsNickel},
    {"range-zero",
     "range",
     "range 0 though charged to",
     "%",
     {12, 20, 40, 60, 90},
     1,
     [](Car& car, double size) {
       car.defects.range_zero = true;
       car.pack.start_charge = std::min(0.99, size / 100 + 0.1);
     }},
    {"range-charge",
     "range",
     "charge shown is off by",
     "points",
     {5, 9, 13, 20, 35},
     3,
     [](Car& car, double size) {
       car.defects.shown_off = -size;
       car.pack.start_charge = std::max(car.pack.start_charge, 0.7);
       car.facts.chemistry = "nmc";
     },
     IsNickel},
    {"standby-load",
     "standby",
     "charge lost while parked",
     "% a day",
     {1, 2, 3.5, 5, 12},
     3,
     [](Car& car, double size) {
       car.defects.standby_percent = size;
       StandANight(car);
     }},
};

}  // namespace

std::span<const FaultRow> PackFaults() { return kRows; }

}  // namespace proofdrive::fleet
