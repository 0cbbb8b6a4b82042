// Part of the check of the balance: how far apart cells may be where they are read.
#pragma once

#include <vector>

#include "analysis/checking/draft.h"
#include "analysis/physics/open_curves.h"

namespace proofdrive::analysis {

// What a cell can be, as far as it is known.
struct CellKind {
  bool iron = false;              // may be iron phosphate
  std::vector<OpenCurve> nickel;  // of nickel or manganese, that it may follow
};
// By pack.chemistry, else by the highest voltage that most cells had.
CellKind KindOfCells(const CheckInput& input, const CheckSettings& settings);

// How many times the millivolts of half charge one percent of charge makes at this rested voltage,
// by the steepest of the published curves; 1 and more.
double Steepness(const CellKind& kind, double volt);

// Where a rested voltage hardly shows the charge, as it may be iron phosphate.
bool OnPlateau(const CellKind& kind, double volt);

// What cells at `middle_v` may differ by.
struct SpreadTerms {
  CellKind kind;
  double middle_v = 0;
  double relaxing_mv = 0;  // of the load before, that may be left between cells
  double outlier_mv = 0;   // of the cell that stands out most; 0: none does
};
// Judges highest less lowest cell, mV. `where`: "at rest".
void JudgeSpread(CheckDraft& draft, double spread_mv, const SpreadTerms& terms,
                 const std::string& where);

// The largest offset of those that no scatter of the others explains; 0: none. Offsets from the
// median, mV.
double StandsOutBy(const std::vector<double>& offset_mv);

}  // namespace proofdrive::analysis
