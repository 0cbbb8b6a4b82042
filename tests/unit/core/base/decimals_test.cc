#include "core/base/decimals.h"

#include <gtest/gtest.h>

namespace proofdrive {
namespace {

TEST(Decimals, ZerosAtTheEndAreLeftOut) {
  EXPECT_EQ(Decimals(8, 2), "8");
  EXPECT_EQ(Decimals(0.25, 3), "0.25");
  EXPECT_EQ(Decimals(12.46, 1), "12.5");
  EXPECT_EQ(Decimals(100, 0), "100");
  EXPECT_EQ(Decimals(-0.001, 2), "0");
}

}  // namespace
}  // namespace proofdrive
