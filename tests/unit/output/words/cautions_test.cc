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

TEST(Cautions, TheOneThatFitsTheWorstTopicIsChosen) {
  using enum CautionTopic;
  const CautionTopic wet[] = {kOther, kPack, kWetPack};
  EXPECT_TRUE(FittingCaution(wet).text.starts_with("A pack that has had coolant or water"));
  const CautionTopic open[] = {kPack, kInterlock};
  EXPECT_TRUE(FittingCaution(open).text.starts_with("Never bridge an interlock"));
  const CautionTopic dried[] = {kPack, kDriedPack};
  EXPECT_TRUE(FittingCaution(dried).text.starts_with("Insulation that came back"));
  EXPECT_TRUE(FittingCaution({}).text.starts_with("A recording only shows"));
}

TEST(Cautions, RolesOfThePackHaveATopic) {
  EXPECT_EQ(TopicOfRole("coolant level"), CautionTopic::kWetPack);
  EXPECT_EQ(TopicOfRole("interlock"), CautionTopic::kInterlock);
  EXPECT_EQ(TopicOfRole("cell voltages"), CautionTopic::kPack);
  EXPECT_EQ(TopicOfRole("supply voltage"), CautionTopic::kOther);
  EXPECT_EQ(TopicOfRole(""), CautionTopic::kOther);
}

TEST(Cautions, AllOfSeveralContextsStandOnce) {
  const CautionContext contexts[] = {CautionContext::kTouch, CautionContext::kCharge};
  EXPECT_EQ(AllCautions(contexts).size(), 7U);
}

}  // namespace
}  // namespace proofdrive::output
