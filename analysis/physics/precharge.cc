#include "analysis/physics/precharge.h"

#include <cmath>

namespace proofdrive::analysis {

std::optional<PrechargeFit> PrechargeOfThree(double first, double second, double third,
                                             double step_s) {
  const double early = second - first;
  const double late = third - second;
  if (!(early > late) || late <= 0) return std::nullopt;
  return PrechargeFit{step_s / std::log(early / late), first + early * early / (early - late)};
}

double LoadOf(double precharge_ohm, double share) {
  return share <= 0 || share >= 1 ? 0 : precharge_ohm * share / (1 - share);
}

double LinkFarad(double tau_s, double precharge_ohm) {
  return precharge_ohm > 0 ? tau_s / precharge_ohm : 0;
}

}  // namespace proofdrive::analysis
