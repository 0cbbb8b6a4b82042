// Rested voltage of lithium cells by their charge, from published half-cell functions. Nothing of
// it is shared with the curves that the checks use.
#pragma once

#include <string_view>
#include <vector>

namespace proofdrive::fleet {

enum class CellKind {
  kNmc111,
  kNmc532,
  kNmc622,
  kNmc811,
  kNmc811Graphite,
  kNca,
  kLfp,
  kLfpFlat,
  kLmo
};

const std::vector<CellKind>& AllCellKinds();
std::string_view CellKindName(CellKind kind);
// As docs/definitions.md names it; empty for iron phosphate.
std::string_view PublishedCurveOf(CellKind kind);

// Limits of one cell in a car, V.
struct CellLimits {
  double full = 4.2;    // highest in use
  double lowest = 2.8;  // under load
};
CellLimits LimitsOf(CellKind kind);

// One curve in steps of a two-thousandth, straight in between.
class CellCurve {
 public:
  explicit CellCurve(CellKind kind);
  // V at 25 degC; `charge` 0..1, held at both ends.
  double Volt(double charge) const;
  // V per unit of charge.
  double Slope(double charge) const;

 private:
  std::vector<double> volts_;
};
// Made once.
const CellCurve& CurveOf(CellKind kind);

}  // namespace proofdrive::fleet
