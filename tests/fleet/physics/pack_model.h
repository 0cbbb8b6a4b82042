// The pack over time: charge and overvoltage of a nominal cell, and every cell's voltage from them.
#pragma once

#include <array>

#include "tests/fleet/car/car.h"

namespace proofdrive::fleet {

// Resistance at this temperature and charge, of that at 25 degC and half charge.
double OhmFactor(const Pack& pack, double celsius, double charge);

class PackModel {
 public:
  explicit PackModel(const Pack& pack);

  // `amps` through the pack for `seconds`.
  void Step(double amps, double celsius, double seconds);

  double charge() const { return charge_; }       // of the nominal cell, 0..1
  double overvoltage() const { return over_v_; }  // of the nominal cell, V below its rested voltage
  // Of all cells and joints, V.
  double PackVolt(double amps);
  // Largest current before a cell is below its limit under load, A.
  double MostAmps(double celsius) const;
  // Largest current into the pack that keeps every cell at its full voltage or below, A.
  double MostChargeAmps(double celsius) const;
  // Ohm of the whole pack after this time of a constant current.
  double PackOhm(double celsius, double charge, double seconds) const;

 private:
  double SumOfRested();

  const Pack& pack_;
  const CellCurve& curve_;
  double charge_;
  double over_v_ = 0;
  std::array<double, 4> branch_v_ = {};
  double ohm_sum_ = 0;         // of the cells' factors, mean of the strings
  double excess_charge_ = -1;  // at which the next was computed
  double excess_v_ = 0;        // sum of the cells less nominal cells, rested
};

// Voltage of one cell when the nominal one has this charge and overvoltage.
class CellView {
 public:
  CellView(const Pack& pack, int cell);
  double Volt(double charge, double overvoltage) const {
    return curve_->Volt(Charge(charge)) - overvoltage * ohm_ + offset_v_;
  }
  double Charge(double nominal) const { return start_ + offset_ - (start_ - nominal) / capacity_; }
  // Of the nominal cell's resistance, its share of the current counted in.
  double ohm() const { return ohm_; }
  double offset_v() const { return offset_v_; }

 private:
  const CellCurve* curve_;
  double start_, offset_, capacity_, ohm_, offset_v_;
};

}  // namespace proofdrive::fleet
