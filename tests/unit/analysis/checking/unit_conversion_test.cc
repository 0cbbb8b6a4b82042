#include "analysis/checking/unit_conversion.h"

#include <gtest/gtest.h>

namespace proofdrive::analysis {
namespace {

double Convert(double value, std::string_view from, std::string_view to) {
  const auto step = UnitFromTo(from, to);
  return step ? value * step->factor + step->offset : -9999;
}

TEST(Units, BroughtToTheRole) {
  EXPECT_NEAR(Convert(350000, "ohm", "kohm"), 350, 1e-9);
  EXPECT_NEAR(Convert(1.2, "Mohm", "kohm"), 1200, 1e-9);
  EXPECT_NEAR(Convert(12, "k\u03A9", "kohm"), 12, 1e-9);
  EXPECT_NEAR(Convert(3700, "mV", "V"), 3.7, 1e-9);
  EXPECT_NEAR(Convert(212, "degF", "degC"), 100, 1e-9);
  EXPECT_NEAR(Convert(300, "K", "degC"), 26.85, 1e-9);
  EXPECT_NEAR(Convert(25, "\u00B0C", "degC"), 25, 1e-9);
  EXPECT_NEAR(Convert(100, "mph", "km/h"), 160.9344, 1e-9);
  EXPECT_NEAR(Convert(5, "", "V"), 5, 1e-9);
}

TEST(Units, OthersDoNotFit) {
  EXPECT_FALSE(UnitFromTo("A", "V"));
  EXPECT_FALSE(UnitFromTo("furlong", "km"));
}

}  // namespace
}  // namespace proofdrive::analysis
