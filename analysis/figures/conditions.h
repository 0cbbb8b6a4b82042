// What temperature and charge alone do to a figure, so that two sessions can be held against each
// other at equal conditions. Sources in the .cc and in docs/verdicts.md, "Figures".
#pragma once

#include <optional>
#include <span>

#include "analysis/physics/open_curves.h"

namespace proofdrive::analysis {

// A factor and how sure it is: one standard deviation of its logarithm.
struct Factor {
  double middle = 1;
  double error = 0;
};

// By what an insulation resistance is multiplied when it goes from one temperature to another.
Factor InsulationFactor(double from_celsius, double to_celsius);

// The same for the resistance of cells over seconds. nullopt when the temperatures are too far
// apart to be corrected.
std::optional<Factor> CellResistanceFactor(double from_celsius, double to_celsius);

// The same for the millivolts that one difference of charge makes between cells, when the rested
// voltage of a cell goes from one to another: by the steepness of every curve they may follow.
// nullopt without a curve, or where one is flat.
std::optional<Factor> SpreadFactor(std::span<const OpenCurve> curves, double from_volt,
                                   double to_volt);

}  // namespace proofdrive::analysis
