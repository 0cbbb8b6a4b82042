#include "tests/fleet/physics/pack_model.h"

#include <algorithm>
#include <cmath>

namespace proofdrive::fleet {
namespace {

constexpr double kGas = 8.314e-3;  // kJ/(mol K)
constexpr double kZero = 273.15;
constexpr double kCold = 5;  // degC
constexpr double kSlowParts = 2;

double Arrhenius(double kj, double from_c, double to_c) {
  return std::exp(kj / kGas * (1 / (to_c + kZero) - 1 / (from_c + kZero)));
}

}  // namespace

double OhmFactor(const Pack& pack, double celsius, double charge) {
  const double warm = Arrhenius(pack.warm_kj, 25, std::max(celsius, kCold));
  const double cold = celsius < kCold ? Arrhenius(pack.cold_kj, kCold, celsius) : 1;
  // Rises sharply below 30 % of charge (published for one cell; the shape is chosen).
  return warm * cold * (1 + 0.8 * std::exp(-std::max(charge, 0.0) / 0.12));
}

PackModel::PackModel(const Pack& pack)
    : pack_(pack), curve_(CurveOf(pack.kind)), charge_(pack.start_charge) {
  for (int i = 0; i < pack.cells; ++i) {
    const CellView view(pack, i);
    ohm_sum_ += view.ohm() / pack.strings;
  }
}

void PackModel::Step(double amps, double celsius, double seconds) {
  const double each = amps / pack_.strings;
  charge_ -= each * seconds / 3600 / pack_.string_ah();
  const double ohm = pack_.cell_mohm / 1000 * OhmFactor(pack_, celsius, charge_);
  over_v_ = each * ohm * pack_.share[0];
  for (std::size_t i = 0; i < branch_v_.size(); ++i) {
    const double end = each * ohm * pack_.share[i + 1];
    branch_v_[i] += (end - branch_v_[i]) * (1 - std::exp(-seconds / pack_.tau_s[i]));
    over_v_ += branch_v_[i];
  }
}

double PackModel::SumOfRested() {
  if (std::fabs(charge_ - excess_charge_) > 0.002) {
    double sum = 0;
    for (int i = 0; i < pack_.cells; ++i) {
      const CellView view(pack_, i);
      sum += view.Volt(charge_, 0) - view.offset_v();
    }
    excess_v_ = sum / pack_.strings - pack_.series() * curve_.Volt(charge_);
    excess_charge_ = charge_;
  }
  return pack_.series() * curve_.Volt(charge_) + excess_v_;
}

double PackModel::PackVolt(double amps) {
  return SumOfRested() - over_v_ * ohm_sum_ - amps * pack_.joint_mohm / 1000;
}

double PackModel::MostAmps(double celsius) const {
  const double ohm = pack_.cell_mohm / 1000 * OhmFactor(pack_, celsius, charge_);
  const double spare = curve_.Volt(charge_) - LimitsOf(pack_.kind).lowest;
  return 0.6 * std::max(spare, 0.0) / ohm * pack_.strings;
}

// Chargers hold the full voltage; slow parts of the resistance come on top of the quick ones.
double PackModel::MostChargeAmps(double celsius) const {
  const double ohm = pack_.cell_mohm / 1000 * OhmFactor(pack_, celsius, charge_);
  const double spare = LimitsOf(pack_.kind).full - curve_.Volt(charge_);
  return std::max(spare, 0.0) / (kSlowParts * ohm) * pack_.strings;
}

double PackModel::PackOhm(double celsius, double charge, double seconds) const {
  double part = pack_.share[0];
  for (std::size_t i = 0; i < branch_v_.size(); ++i) {
    part += pack_.share[i + 1] * (1 - std::exp(-seconds / pack_.tau_s[i]));
  }
  const double cell = pack_.cell_mohm / 1000 * OhmFactor(pack_, celsius, charge) * part;
  return cell / pack_.strings * ohm_sum_ + pack_.joint_mohm / 1000;
}

CellView::CellView(const Pack& pack, int cell) : curve_(&CurveOf(pack.kind)) {
  const auto index = static_cast<std::size_t>(cell);
  const auto string = static_cast<std::size_t>(cell / pack.series());
  start_ = pack.start_charge;
  offset_ = pack.charge_offset[index];
  capacity_ = pack.capacity_factor[index];
  ohm_ = pack.ohm_factor[index] * pack.string_share[string] * pack.strings;
  offset_v_ = pack.volt_offset[index];
}

}  // namespace proofdrive::fleet
