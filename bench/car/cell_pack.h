// 96 cells in series (each a parallel pair): voltage, resistance, balance. Current is positive when
// the pack is discharged.
#pragma once

#include <array>
#include <cstddef>

#include "bench/car/defects.h"
#include "bench/car/random.h"

namespace proofdrive::bench {

inline constexpr std::size_t kCellCount = 96;
// Highest voltage in normal operation: 96 x 4.2 V (cell limit from memory; product computed).
inline constexpr double kWorkingVoltage = 403.2;

// Neighbouring cells drained by a film of coolant that bridged them.
struct CellDrain {
  std::size_t first = 40;  // index from 0
  std::size_t count = 4;
  double deficit = 0;   // state of charge lost to the film so far, 0..1
  double film_ohm = 0;  // of the film while wet; 0 = none
};

class CellPack {
 public:
  // `charge` is the mean state of charge 0..1; the spread between cells comes from `random`.
  CellPack(Random& random, double charge, const CellDrain& drain, const Defects& defects = {});

  // Advances by `dt` seconds at `discharge_a` amperes and `temperature_c`.
  void Step(double dt, double discharge_a, double temperature_c);
  // Bleeds the cells that are more than 10 mV above the lowest.
  void SetBalancing(bool on) { balancing_ = on; }

  double CellVoltage(std::size_t index) const { return cells_[index].voltage; }
  double CellCharge(std::size_t index) const { return cells_[index].charge; }
  // At the terminals: the sum of the cells less the drop over joints and busbars.
  double PackVoltage() const;
  double CellSum() const;
  double MeanCharge() const;
  double Spread() const;
  std::size_t WeakestCell() const;
  bool balancing() const { return balancing_; }
  double MeanCapacityAh() const;
  // Heat made in the cells and joints at the current of the last step, W.
  double Heat() const { return heat_w_; }

  // Open-circuit voltage of one cell.
  static double OpenVoltage(double charge);

 private:
  struct Cell {
    double charge = 0;       // 0..1
    double capacity_as = 0;  // ampere seconds
    double ohm = 0;          // at 25 C
    double fast_v = 0;       // polarisation, about 3 s
    double slow_v = 0;       // polarisation, about 24 s
    double voltage = 0;
  };
  void StepCell(Cell& cell, double dt, double amps, double factor);

  std::array<Cell, kCellCount> cells_;
  CellDrain drain_;
  double current_a_ = 0;
  double joint_ohm_ = 0;
  double heat_w_ = 0;
  bool balancing_ = false;
};

}  // namespace proofdrive::bench
