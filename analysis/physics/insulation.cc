#include "analysis/physics/insulation.h"

namespace proofdrive::analysis {

double LeakPlace(double v_negative, double v_positive) {
  const double sum = v_negative + v_positive;
  return sum > 0 ? v_negative / sum : -1;
}

double SettlingSeconds(double whole_ohm, double body_farad) { return whole_ohm * body_farad; }

}  // namespace proofdrive::analysis
