#include "analysis/physics/precharge.h"

#include <cmath>

namespace proofdrive::analysis {

std::optional<double> PrechargeTau(std::span<const double> time_s, std::span<const double> volt,
                                   double pack_v, bool weighted) {
  double xy = 0;
  double xx = 0;
  std::size_t used = 0;
  for (std::size_t i = 0; i < volt.size(); ++i) {
    const double left = 1 - volt[i] / pack_v;
    if (left <= 0 || time_s[i] <= 0) continue;
    const double weight = weighted ? left * left : 1;
    xy += weight * time_s[i] * std::log(left);
    xx += weight * time_s[i] * time_s[i];
    ++used;
  }
  if (used < 2 || xy >= 0) return std::nullopt;
  return -xx / xy;
}

std::optional<PrechargeFit> PrechargeOfThree(double first, double second, double third,
                                             double step_s) {
  const double early = second - first;
  const double late = third - second;
  if (!(early > late) || late <= 0) return std::nullopt;
  return PrechargeFit{step_s / std::log(early / late), first + early * early / (early - late)};
}

double SecondsToShare(double tau_s, double share) { return -tau_s * std::log(1 - share); }

double LoadedEnd(double pack_v, double precharge_ohm, double load_ohm) {
  return pack_v * load_ohm / (precharge_ohm + load_ohm);
}

double LoadOf(double precharge_ohm, double share) {
  return share <= 0 || share >= 1 ? 0 : precharge_ohm * share / (1 - share);
}

double LinkFarad(double tau_s, double precharge_ohm) {
  return precharge_ohm > 0 ? tau_s / precharge_ohm : 0;
}

double DecaySeconds(double tau_s, double from_v, double to_v) {
  return tau_s * std::log(from_v / to_v);
}

}  // namespace proofdrive::analysis
