// Faults of: insulation, contactors, interlock.
#include <algorithm>

#include "tests/fleet/faults/fault_rows.h"

namespace proofdrive::fleet {
namespace {

bool OneString(const Car& car) { return car.pack.strings == 1; }

// The link voltage is sent as often as docs/checks.md asks for, also with an early closing.
bool OftenSentLink(const Car& car) {
  HighVoltage early = car.high_voltage;
  early.closing_share = 0.75;
  return 10 * car.sensors.values.at("link voltage").period_s <= early.precharge_s();
}

void Leak(Car& car, double ohm_per_volt) {
  // Until the whole has this much; the healthy part goes on beside it.
  const double whole = ohm_per_volt * car.pack.highest_v() / 1000;
  car.insulation.ceiling_kohm = 0;
  car.defects.leak_kohm = 1 / std::max(1e-9, 1 / whole - 1 / car.insulation.kohm);
}

void FailPrecharge(Car& car, double share) {
  car.defects.failed_precharges = 2;
  car.defects.failed_share = share / 100;
}

constexpr FaultRow kRows[] = {
    {"insulation-leak",
     "insulation",
     "leak that leaves",
     "ohm/V",
     {450, 300, 200, 90, 40},
     1,
     Leak},
    {"insulation-falls",
     "insulation",
     "resistance falls within the recording by",
     "%",
     {5, 10, 20, 40, 70},
     4,
     [](Car& car, double size) { car.defects.leak_fall = size / 100; }},
    {"insulation-drops",
     "insulation",
     "single drops to a fifth",
     "drops",
     {1, 2, 3, 5, 10},
     2,
     [](Car& car, double size) { car.defects.drops = static_cast<int>(size); }},
    {"precharge-early",
     "precharge",
     "main contactor closes at",
     "% of pack voltage",
     {95, 92, 88, 75, 50},
     2,
     [](Car& car, double size) { car.high_voltage.closing_share = size / 100; },
     OftenSentLink},
    {"precharge-load",
     "precharge",
     "pre-charges that fail end at",
     "% of pack voltage",
     {92, 85, 70, 50, 20},
     0,
     FailPrecharge},
    {"precharge-slow",
     "precharge",
     "a pre-charge takes",
     "s",
     {1, 1.8, 2.5, 4, 10},
     2,
     [](Car& car, double size) { car.defects.precharge_s = size; }},
    {"contactors-welded",
     "contactors",
     "both poles welded, seen open for",
     "s",
     {5, 12, 30, 120, 1800},
     1,
     [](Car& car, double size) {
       car.defects.welded = true;
       car.use.stages.resize(5);
       car.use.stages.back() = {StageKind::kRest, size};
     }},
    {"precharge-pole",
     "precharge",
     "one pole welded, link voltage every",
     "ms",
     {400, 100, 45, 20, 10},
     4,
     [](Car& car, double size) {
       car.defects.welded_pole = true;
       car.sensors.values["link voltage"].period_s = size / 1000;
     }},
    {"contactors-not-closed",
     "contactors",
     "says closed, link has",
     "% of pack voltage",
     {45, 30, 15, 5, 0},
     0,
     [](Car& car, double size) { car.defects.open_path_share = size / 100; }},
    {"contactors-contact",
     "contactors",
     "resistance of the contacts",
     "mohm",
     {1.2, 3, 6, 12, 30},
     3,
     [](Car& car, double size) { car.high_voltage.contact_mohm = size; }},
    {"contactors-not-empty",
     "contactors",
     "link needs to fall to 60 V",
     "s",
     {500, 900, 1800, 3600, 20000},
     1,
     [](Car& car, double size) { car.high_voltage.discharge_s = size; }},
    {"interlock-open",
     "interlock",
     "loop opens while driving for",
     "s",
     {0.1, 0.5, 2, 10, 120},
     2,
     [](Car& car, double size) { car.defects.loop_open_s = size; }},
    {"interlock-crash",
     "interlock",
     "crash stored, this long before the end",
     "s",
     {2, 20, 120, 600, 1e9},
     1,
     [](Car& car, double size) { car.defects.crash_s = size; }},
    {"interlock-string",
     "interlock",
     "terminals have, of the cells' sum",
     "%",
     {50, 4, 2, 1, 0},
     0,
     [](Car& car, double size) { car.defects.terminal_share = size / 100; },
     OneString},
};

}  // namespace

std::span<const FaultRow> HighVoltageFaults() { return kRows; }

}  // namespace proofdrive::fleet
