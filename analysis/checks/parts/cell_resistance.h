// Resistance of every cell and of the links from a whole drive, however seldom the cells are read.
#pragma once

#include <vector>

#include "analysis/checking/track.h"

namespace proofdrive::analysis {

// Each reading of a cell is compared with its share of the pack voltage and the current of the same
// moment (linear between samples): what is left depends on the current by how much the cell's
// resistance differs from that share, whatever the load does meanwhile. Charge taken out and
// stretches of a few minutes are fitted besides, so that cells may drift apart.
struct CellOhms {
  std::vector<std::size_t> cell;  // from 0; those with enough readings
  std::vector<double> ohm;        // of the pack's current, dynamic
  std::vector<double> error;      // of the difference from the others, one standard deviation
  double share_ohm = 0;           // of pack voltage over cells in series
  double series = 0;              // cells in series
  std::size_t readings = 0;       // of all cells
  // Sum of the cells less pack voltage against the current; only when every cell was read.
  bool links_known = false;
  double link_ohm = 0;
  double link_error = 0;  // one standard deviation
  double offset_v = 0;    // without current: the instruments differ
};
// The pack's voltage over that of a cell, as a whole part of the cells listed: those of strings in
// parallel are listed together. 0 when nothing was read.
double CellsInSeries(const Track& pack, const std::vector<Track>& cells);

// `current` positive = discharge, NaN where it is not known; `quiet_a`: less is rest, which is left
// out but for half a minute around load.
CellOhms FitCellOhms(const Track& pack, const std::vector<Track>& cells, const Track& current,
                     double quiet_a);

}  // namespace proofdrive::analysis
