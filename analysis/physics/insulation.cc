#include "analysis/physics/insulation.h"

namespace proofdrive::analysis {

double SideResistance(double known_ohm, double bus_v, double v_negative, double v_with) {
  return known_ohm * bus_v * (1 / v_with - 1 / v_negative);
}

double SideResistanceOfBoth(double known_ohm, double v_negative, double v_positive, double v_with) {
  return known_ohm * (1 + v_positive / v_negative) * (v_negative - v_with) / v_with;
}

double WholeResistance(double known_ohm, double v_negative, double v_with) {
  return known_ohm * (v_negative / v_with - 1);
}

double LeakPlace(double v_negative, double v_positive) {
  const double sum = v_negative + v_positive;
  return sum > 0 ? v_negative / sum : -1;
}

double FilmOhm(double length_mm, double width_mm, double thickness_mm, double microsiemens_per_cm) {
  const double siemens_per_metre = microsiemens_per_cm * 1e-4;
  return length_mm * 1e-3 / (siemens_per_metre * width_mm * 1e-3 * thickness_mm * 1e-3);
}

double SettlingSeconds(double whole_ohm, double body_farad) { return whole_ohm * body_farad; }

double BodyEnergy(double body_farad, double volt) { return 0.5 * body_farad * volt * volt; }

}  // namespace proofdrive::analysis
