#include "tests/fleet/physics/cell_curves.h"

#include <gmock/gmock.h>

namespace proofdrive::fleet {
namespace {

// Computed elsewhere from the same published functions: 0, 10, 20, 50, 80, 90 and 100 %.
struct Points {
  CellKind kind;
  double volts[7];
};
constexpr double kAt[] = {0, .1, .2, .5, .8, .9, 1};
constexpr Points kPoints[] = {
    {CellKind::kNmc111, {2.800, 3.445, 3.525, 3.671, 3.934, 4.054, 4.200}},
    {CellKind::kNmc532, {2.810, 3.511, 3.585, 3.716, 3.971, 4.077, 4.200}},
    {CellKind::kNmc622, {2.800, 3.403, 3.498, 3.643, 3.939, 4.064, 4.200}},
    {CellKind::kNmc811, {2.499, 3.292, 3.483, 3.746, 4.034, 4.095, 4.181}},
    {CellKind::kNmc811Graphite, {2.959, 3.367, 3.474, 3.679, 4.001, 4.092, 4.200}},
    {CellKind::kNca, {2.800, 3.248, 3.371, 3.680, 3.969, 4.067, 4.180}},
    {CellKind::kLfp, {2.500, 3.196, 3.252, 3.309, 3.338, 3.346, 3.600}},
    {CellKind::kLfpFlat, {2.500, 3.176, 3.241, 3.277, 3.312, 3.314, 3.600}},
    {CellKind::kLmo, {3.209, 3.755, 3.823, 3.939, 4.025, 4.033, 4.200}},
};

TEST(CellCurves, PassThroughThePublishedPoints) {
  for (const Points& points : kPoints) {
    const CellCurve& curve = CurveOf(points.kind);
    for (std::size_t i = 0; i < std::size(kAt); ++i) {
      // At no charge the functions are so steep that the ends' last digit counts.
      const double most = kAt[i] == 0 ? 0.02 : kAt[i] == 1 ? 0.004 : 0.0015;
      EXPECT_NEAR(curve.Volt(kAt[i]), points.volts[i], most)
          << CellKindName(points.kind) << " at " << kAt[i];
    }
  }
}

TEST(CellCurves, RiseWithTheCharge) {
  for (const CellKind kind : AllCellKinds()) {
    for (double charge = 0.02; charge < 0.99; charge += 0.01) {
      EXPECT_GT(CurveOf(kind).Slope(charge), -0.01) << CellKindName(kind) << " at " << charge;
    }
  }
}

TEST(CellCurves, HaveAllKindsInTheTest) { EXPECT_EQ(AllCellKinds().size(), std::size(kPoints)); }

}  // namespace
}  // namespace proofdrive::fleet
