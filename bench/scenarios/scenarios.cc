#include "bench/scenarios/scenarios.h"

namespace proofdrive::bench {
namespace {

// Bought after a crash: a hose end weeps into the pack, the loop has drawn air, the crash latch is
// set, a connector of the interlock loop is loose, the 12 V battery is nearly flat.
Scenario CoolantLeak() {
  Scenario s;
  s.name = "coolant-leak";
  s.description = "as bought: coolant in the pack, air in the loop, contactors refuse, range 0";
  s.seconds = 180;
  s.charge = 0.58;
  s.drain = {.first = 40, .count = 4, .deficit = 0.055, .film_ohm = 2000};
  s.coolant = {.litres = 3.0, .air_litres = 2.2, .leak_ml_min = 36};
  s.leak_into_pack = 0.6;
  s.insulation = {.wet_ml = 14, .leak_place = 0.44};
  s.supply = {.charge = 0.10, .ohm = 0.030};
  s.crash_latched = true;
  s.learn_m = 2000;
  s.broken_sensor = 10;
  s.timeline = {{3, Action::kPumpLow},         {10, Action::kRequestDrive},
                {48, Action::kInterlockOpens}, {55, Action::kInterlockCloses},
                {70, Action::kPlugIn},         {100, Action::kUnplug},
                {148, Action::kInterlockOpens}};
  return s;
}

// After the repair at home: hose replaced, loop filled and bled, pack dried, restraint unit and 12
// V battery renewed. The moisture sensor was not plugged in again, the pump ran high for 12 s only,
// a connector is touched once, and nobody has driven or charged yet.
Scenario Repaired() {
  Scenario s;
  s.name = "repaired";
  s.description = "after the repair: most warnings gone, some never put to the test";
  s.seconds = 180;
  s.charge = 0.57;
  s.cells_c = 18;
  s.ambient_c = 18;
  s.drain = {.first = 40, .count = 4, .deficit = 0.06, .film_ohm = 0};
  s.coolant = {.litres = 5.9, .air_litres = 0.08, .leak_ml_min = 0};
  s.insulation = {.wet_ml = 1.2, .leak_place = 0.44};
  s.supply = {.charge = 0.75, .ohm = 0.018};
  s.learn_m = 2000;
  s.silent_units = {"moisture_sensor"};
  s.timeline = {{3, Action::kPumpLow},
                {8, Action::kRequestDrive},
                {40, Action::kPumpHigh},
                {52, Action::kPumpLow},
                {95, Action::kInterlockOpens},
                {96.5, Action::kReleaseDrive},
                {100.5, Action::kInterlockCloses},
                {110, Action::kRequestDrive}};
  return s;
}

// The same repair, badly bled.
Scenario RepairedAirTrapped() {
  Scenario s = Repaired();
  s.name = "repaired-air-trapped";
  s.description = "after the repair, but the loop was not bled: air passes through the pump";
  s.coolant = {.litres = 4.42, .air_litres = 1.3, .leak_ml_min = 0};
  s.silent_units = {};
  s.timeline = {{3, Action::kPumpLow}, {8, Action::kRequestDrive}, {30, Action::kPumpHigh}};
  return s;
}

Scenario Drive() {
  Scenario s;
  s.name = "drive";
  s.description = "first drive after the repair: town and country, braking gives energy back";
  s.seconds = 600;
  s.charge = 0.72;
  s.cells_c = 19;
  s.ambient_c = 17;
  s.drain = {.first = 40, .count = 4, .deficit = 0.05, .film_ohm = 0};
  s.insulation = {.wet_ml = 0.3, .leak_place = 0.44};
  s.learn_m = 2000;
  s.drive_seconds = 590;
  s.automatic_pump = true;
  s.timeline = {{3, Action::kRequestDrive}};
  return s;
}

// Nothing physical changed; new software in two units.
Scenario Updated() {
  Scenario s;
  s.name = "updated";
  s.description = "after a software update: a frame is gone, one moved, one became slower";
  s.seconds = 120;
  s.charge = 0.66;
  s.cells_c = 19;
  s.ambient_c = 17;
  s.drain = {.first = 40, .count = 4, .deficit = 0.012, .film_ohm = 0};
  s.insulation = {.wet_ml = 0.2, .leak_place = 0.44};
  s.changes = {{.frame = "body", .vanishes = true},
               {.frame = "supply", .new_id = 0x247},
               {.frame = "pack_limits", .period_ms = 200}};
  s.pack_software = {4, 3};
  s.cluster_software = {2, 0};
  s.timeline = {{3, Action::kPumpLow},
                {8, Action::kRequestDrive},
                {30, Action::kPumpHigh},
                {100, Action::kPumpLow}};
  return s;
}

}  // namespace

const std::vector<Scenario>& ScenarioTable() {
  static const std::vector<Scenario> table = {CoolantLeak(), Repaired(), RepairedAirTrapped(),
                                              Drive(), Updated()};
  return table;
}

const Scenario* FindScenario(std::string_view name) {
  for (const auto* table : {&ScenarioTable(), &CheckScenarioTable()}) {
    for (const Scenario& scenario : *table) {
      if (scenario.name == name) return &scenario;
    }
  }
  return nullptr;
}

bool HasScenario(std::string_view name) { return FindScenario(name) != nullptr; }

const std::vector<ScenarioInfo>& Scenarios() {
  static const std::vector<ScenarioInfo> infos = [] {
    std::vector<ScenarioInfo> list;
    for (const Scenario& s : ScenarioTable()) list.push_back({s.name, s.description});
    return list;
  }();
  return infos;
}

}  // namespace proofdrive::bench
