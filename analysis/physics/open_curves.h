// Published curves of rested voltage against charge, and curves that the user gives.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "analysis/physics/cell_curve.h"

namespace proofdrive::analysis {

class OpenCurve {
 public:
  // `volts` of charges evenly from 0 to 1. REQUIRES: two or more, rising.
  OpenCurve(std::string name, std::vector<double> volts);

  const std::string& name() const { return name_; }
  double VoltAt(double charge) const;
  // Beyond both ends the curve goes on straight for at most 5 %, so that a pack that is charged a
  // little further is not taken for full.
  double ChargeAt(double volt) const;
  // V for the whole charge, over +-0.5 %.
  double Slope(double charge) const;

 private:
  std::string name_;
  std::vector<double> volts_;
};

// nmc111, nmc532, nmc622, nmc811, nmc811-silicon, nca, lmo.
const std::vector<OpenCurve>& PublishedCurves();
// Those a cell of this chemistry may follow: five of nickel manganese cobalt, all of an unknown
// chemistry, none of iron phosphate, whose plateau gives no charge.
std::vector<OpenCurve> CurvesOf(Chemistry chemistry);

// A name of PublishedCurves(), or a table "0 2.80, 10 3.51, 50 3.72, 100 4.20": percent and volt of
// four points or more, both rising, from 0 to 100 %. nullopt for anything else.
std::optional<OpenCurve> CurveOfText(std::string_view text);

}  // namespace proofdrive::analysis
