#include "analysis/physics/supply_battery.h"

#include <gtest/gtest.h>

namespace proofdrive::analysis {
namespace {

// Published table of battery makers for rested lead-acid batteries (looked up).
TEST(SupplyBattery, ChargeOfARestedBattery) {
  EXPECT_NEAR(LeadAcidPercent(12.33), 60.7, 0.05);
  EXPECT_NEAR(LeadAcidPercent(12.10), 30.6, 0.05);
  const double table[][2] = {{12.65, 100}, {12.45, 75}, {12.24, 50}, {12.06, 25}, {11.89, 0}};
  for (const auto& row : table) EXPECT_NEAR(LeadAcidPercent(row[0]), row[1], 1e-9);
  EXPECT_EQ(LeadAcidPercent(11), 0);
  EXPECT_EQ(LeadAcidPercent(13.4), 100);
}

}  // namespace
}  // namespace proofdrive::analysis
