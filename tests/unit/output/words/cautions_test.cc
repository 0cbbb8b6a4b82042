#include "output/words/cautions.h"

#include <gtest/gtest.h>

namespace proofdrive::output {
namespace {

TEST(Cautions, EveryContextHasTwoToFourWithTheirBasis) {
  for (const auto context : {CautionContext::kAlways, CautionContext::kTouch,
                             CautionContext::kCharge, CautionContext::kCompare}) {
    const auto cautions = CautionsFor(context);
    EXPECT_GE(cautions.size(), 2U);
    EXPECT_LE(cautions.size(), 4U);
    for (const Caution& caution : cautions) {
      EXPECT_FALSE(caution.basis.empty()) << caution.text;
      EXPECT_EQ(caution.text.find("safe"), std::string::npos) << caution.text;
      EXPECT_TRUE(caution.text.ends_with(".")) << caution.text;
    }
  }
}

TEST(Cautions, EveryContextDefersToTheMaker) {
  for (const auto context : {CautionContext::kAlways, CautionContext::kTouch,
                             CautionContext::kCharge, CautionContext::kCompare}) {
    bool defers = false;
    for (const Caution& caution : CautionsFor(context)) {
      defers |= caution.text.find("maker's manual") != std::string::npos;
    }
    EXPECT_TRUE(defers);
  }
}

}  // namespace
}  // namespace proofdrive::output
