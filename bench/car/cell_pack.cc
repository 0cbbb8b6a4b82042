#include "bench/car/cell_pack.h"

#include <algorithm>

#include "bench/car/curve.h"

namespace proofdrive::bench {
namespace {

// Open-circuit voltage at 0, 2.5, ... 100 % charge, NMC811 against graphite. Computed from the
// half-cell functions published in J. Electrochem. Soc. 167 (2020) 080534.
constexpr double kOpenVoltage[] = {
    2.4987, 2.9179, 3.1065, 3.2078, 3.2921, 3.3748, 3.4313, 3.4623, 3.4835, 3.5036, 3.5260,
    3.5514, 3.5781, 3.6035, 3.6260, 3.6457, 3.6640, 3.6821, 3.7015, 3.7228, 3.7458, 3.7698,
    3.7931, 3.8149, 3.8354, 3.8564, 3.8816, 3.9120, 3.9405, 3.9644, 3.9870, 4.0103, 4.0342,
    4.0569, 4.0756, 4.0881, 4.0947, 4.1008, 4.1144, 4.1414, 4.1809};

// Resistance against that at 25 C for -20, -10, ... 60 C: exp(2527.55 K (1/T - 1/298.15 K)).
// Computed; the exponent is fitted to published means of a 58 Ah cell at 10, 25 and 40 C.
constexpr double kResistanceFactor[] = {4.513,  3.088,  2.1725, 1.5669, 1.1556,
                                        0.8695, 0.6663, 0.519,  0.4104};

// Per parallel pair, computed as half of (twice, for capacity) the published figures of that cell:
// 53.63 Ah, R0 1.147 +- 0.078 mohm, R1 0.157 mohm at 3.1 s, R2 0.19 mohm at 24 s.
constexpr double kCapacityAh = 107.26;
constexpr double kOhm = 0.5735e-3;
constexpr double kOhmSpread = 0.068;
constexpr double kFastOhm = 0.0785e-3;
constexpr double kFastSeconds = 3.1;
constexpr double kSlowOhm = 0.095e-3;
constexpr double kSlowSeconds = 24;
// Spread of capacity between cells of one batch: 0.2 - 0.3 % (published).
constexpr double kCapacitySpread = 0.003;
// Chosen for this car: spread of charge, joints of the whole string, bleed resistors.
constexpr double kChargeSpread = 0.002;
constexpr double kJointOhm = 9e-3;
constexpr double kBleedAmps = 0.1;
constexpr double kBleedAbove = 0.010;

}  // namespace

double CellPack::OpenVoltage(double charge) { return Interpolate(kOpenVoltage, 0, 0.025, charge); }

CellPack::CellPack(Random& random, double charge, const CellDrain& drain, const Defects& defects)
    : drain_(drain), joint_ohm_(kJointOhm + defects.joint_ohm) {
  for (std::size_t i = 0; i < kCellCount; ++i) {
    Cell& cell = cells_[i];
    cell.capacity_as = 3600 * kCapacityAh * (1 + kCapacitySpread * random.Normal());
    cell.ohm = kOhm * (1 + kOhmSpread * random.Normal());
    // Clipped, so that an unlucky healthy cell is never mistaken for a drained one.
    cell.charge = charge + kChargeSpread * std::clamp(random.Normal(), -2.0, 2.0);
    if (i >= drain.first && i < drain.first + drain.count) cell.charge -= drain.deficit;
    cell.capacity_as *= defects.capacity_factor;
    if (static_cast<int>(i) == defects.cell.index) {
      cell.capacity_as *= defects.cell.capacity_factor;
      cell.ohm *= defects.cell.ohm_factor;
      cell.charge += defects.cell.charge;
    }
    cell.voltage = OpenVoltage(cell.charge);
  }
}

void CellPack::StepCell(Cell& cell, double dt, double amps, double factor) {
  cell.charge = std::clamp(cell.charge - amps * dt / cell.capacity_as, 0.0, 1.0);
  cell.fast_v = Relax(cell.fast_v, amps * kFastOhm * factor, kFastSeconds, dt);
  cell.slow_v = Relax(cell.slow_v, amps * kSlowOhm * factor, kSlowSeconds, dt);
  cell.voltage = OpenVoltage(cell.charge) - amps * cell.ohm * factor - cell.fast_v - cell.slow_v;
}

void CellPack::Step(double dt, double discharge_a, double temperature_c) {
  const double factor = Interpolate(kResistanceFactor, -20, 10, temperature_c);
  const double lowest = cells_[WeakestCell()].voltage;
  double film_a = 0;
  if (drain_.film_ohm > 0) {
    for (std::size_t i = 0; i < drain_.count; ++i) film_a += cells_[drain_.first + i].voltage;
    film_a /= drain_.film_ohm;
  }
  current_a_ = discharge_a;
  heat_w_ = joint_ohm_ * discharge_a * discharge_a;
  for (std::size_t i = 0; i < kCellCount; ++i) {
    Cell& cell = cells_[i];
    double amps = discharge_a;
    if (balancing_ && cell.voltage > lowest + kBleedAbove) amps += kBleedAmps;
    if (i >= drain_.first && i < drain_.first + drain_.count) amps += film_a;
    StepCell(cell, dt, amps, factor);
    heat_w_ += discharge_a * (OpenVoltage(cell.charge) - cell.voltage);
  }
}

double CellPack::CellSum() const {
  double sum = 0;
  for (const Cell& cell : cells_) sum += cell.voltage;
  return sum;
}

double CellPack::PackVoltage() const { return CellSum() - joint_ohm_ * current_a_; }

double CellPack::MeanCharge() const {
  double sum = 0;
  for (const Cell& cell : cells_) sum += cell.charge;
  return sum / static_cast<double>(kCellCount);
}

double CellPack::MeanCapacityAh() const {
  double sum = 0;
  for (const Cell& cell : cells_) sum += cell.capacity_as;
  return sum / 3600 / static_cast<double>(kCellCount);
}

std::size_t CellPack::WeakestCell() const {
  const auto lower = [](const Cell& a, const Cell& b) { return a.voltage < b.voltage; };
  return static_cast<std::size_t>(std::min_element(cells_.begin(), cells_.end(), lower) -
                                  cells_.begin());
}

double CellPack::Spread() const {
  const auto lower = [](const Cell& a, const Cell& b) { return a.voltage < b.voltage; };
  const auto [low, high] = std::minmax_element(cells_.begin(), cells_.end(), lower);
  return high->voltage - low->voltage;
}

}  // namespace proofdrive::bench
