// Nothing is wrong with the car, but with what its definition file says of it.
#include "tests/fleet/faults/fault_rows.h"

namespace proofdrive::fleet {
namespace {

void Scale(Car& car, const char* role, double factor) {
  car.sensors.values[role].said_scale = factor;
}

// As docs/checks.md asks for, before cells can be too cold for their coolant.
bool RestsThreeHours(const Car& car) {
  const Stage& last = car.use.stages.back();
  return last.kind == StageKind::kRest && last.seconds > 3.3 * 3600;
}

constexpr FaultRow kRows[] = {
    {"definitions-pack",
     "definitions",
     "pack voltage said to be",
     "% of what it is",
     {97, 95, 90, 70, 10},
     2,
     [](Car& car, double size) { Scale(car, "pack voltage", size / 100); },
     nullptr},
    {"definitions-cells",
     "definitions",
     "cell voltages said to be",
     "% of what they are",
     {97, 95, 90, 70, 60},
     2,
     [](Car& car, double size) { Scale(car, "cell voltages", size / 100); },
     nullptr},
    {"definitions-link",
     "definitions",
     "link voltage said to be",
     "% of what it is",
     {97, 95, 90, 75, 60},
     2,
     [](Car& car, double size) { Scale(car, "link voltage", size / 100); },
     nullptr},
    {"definitions-current",
     "definitions",
     "current said to be",
     "times what it is",
     {1.5, 2, 5, 10, 100},
     3,
     [](Car& car, double size) { Scale(car, "pack current", size); },
     nullptr},
    {"definitions-speed",
     "definitions",
     "speed said to be (a mile for a kilometre: 62 %)",
     "% of what it is",
     {95, 85, 62.1, 50, 27.8},
     2,
     [](Car& car, double size) { Scale(car, "vehicle speed", size / 100); },
     nullptr},
    {"definitions-inlet",
     "definitions",
     "coolant inlet said to be warmer by",
     "K",
     {5, 10, 20, 30, 40},
     2,
     [](Car& car, double size) {
       car.sensors.values["coolant inlet temperature"].said_offset = size;
     },
     nullptr},
    {"definitions-cold",
     "definitions",
     "cell temperatures said to be colder by",
     "K",
     {5, 10, 20, 30, 40},
     2,
     [](Car& car, double size) { car.sensors.values["cell temperatures"].said_offset = -size; },
     RestsThreeHours},
};

}  // namespace

std::span<const FaultRow> DefinitionFaults() { return kRows; }

}  // namespace proofdrive::fleet
