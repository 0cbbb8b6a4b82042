#include "bench/car/pack_heat.h"

#include <algorithm>
#include <cstdlib>

#include "bench/car/curve.h"

namespace proofdrive::bench {
namespace {

// 173 kg of cells x 1040 J/(kg K) (heat capacity of NMC cells: published; mass chosen).
constexpr double kCellsJoulePerKelvin = 180e3;
// 2.5 L of coolant in the plates at 3.53 kJ/(L K) (50 % glycol at 25 C: computed from published
// coefficients) and the plates themselves (chosen).
constexpr double kPlateJoulePerKelvin = 15e3;
// Coolant heat flow per litre a minute: 0.5891 kW/K at 10 L/min (computed).
constexpr double kWattPerKelvinLitre = 58.91;
// Chosen: conductance cells to coolant at rest and at 10 L/min, to the air, of the radiator.
constexpr double kConductanceRest = 90;
constexpr double kConductanceFlow = 56;
constexpr double kConductanceAir = 8;
constexpr double kRadiatorShare = 0.45;
constexpr double kPipeLitres = 6;

}  // namespace

PackHeat::PackHeat(Random& random, double cells_c, double ambient_c, const HotSpot& hot)
    : cells_c_(cells_c), outlet_c_(cells_c), inlet_c_(cells_c), ambient_c_(ambient_c), hot_(hot) {
  for (double& offset : sensor_offset_c_) offset = 0.2 * random.Normal();
}

void PackHeat::Step(double dt, double heat_w, double flow_l_min) {
  const double conductance = kConductanceRest + kConductanceFlow * std::min(flow_l_min, 12.0);
  const double to_coolant = conductance * (cells_c_ - outlet_c_);
  const double to_air = kConductanceAir * (cells_c_ - ambient_c_);
  const double carried = kWattPerKelvinLitre * flow_l_min * (outlet_c_ - inlet_c_);
  cells_c_ += dt * (heat_w - to_coolant - to_air) / kCellsJoulePerKelvin;
  outlet_c_ += dt * (to_coolant - carried) / kPlateJoulePerKelvin;
  const double returning = outlet_c_ - kRadiatorShare * (outlet_c_ - ambient_c_);
  const double delay_s = 60 * kPipeLitres / std::max(flow_l_min, 0.05);
  inlet_c_ = Relax(inlet_c_, returning, delay_s, dt);
  minutes_ += dt / 60;
}

double PackHeat::SensorTemperature(std::size_t index) const {
  const double place = static_cast<double>(index) / (kTemperatureSensorCount - 1) - 0.5;
  const int distance = hot_.sensor < 0 ? 2 : std::abs(static_cast<int>(index) - hot_.sensor);
  const double share = distance == 0 ? 1 : (distance == 1 && hot_.neighbours ? 0.5 : 0);
  const double more = share * (hot_.kelvin + hot_.kelvin_per_minute * minutes_);
  return cells_c_ + sensor_offset_c_[index] + 0.5 * place * (outlet_c_ - inlet_c_) + more;
}

}  // namespace proofdrive::bench
