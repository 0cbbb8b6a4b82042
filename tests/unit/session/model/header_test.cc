#include "session/model/header.h"

#include <gtest/gtest.h>

#include "tests/support/matchers.h"

namespace proofdrive::session {
namespace {

using proofdrive::testing::IsError;
using proofdrive::testing::IsOk;

TEST(Stage, EveryNameIsReadBack) {
  for (int i = 0; i <= 6; ++i) {
    const auto stage = static_cast<Stage>(i);
    auto parsed = ParseStage(StageName(stage));
    ASSERT_OK(parsed);
    EXPECT_EQ(*parsed, stage);
  }
  EXPECT_EQ(StageName(static_cast<Stage>(77)), "");
}

TEST(Stage, UnknownNameListsThePossibleOnes) {
  EXPECT_THAT(ParseStage("repaired"),
              IsError(ErrorKind::kInvalidArgument,
                      "unknown stage 'repaired': use one of arrival, before-repair, after-repair, "
                      "drive, charge, after-update"));
}

TEST(Names, OfStatesAndEvents) {
  EXPECT_EQ(StateName(State::kRecording), "recording");
  EXPECT_EQ(StateName(State::kInterrupted), "interrupted");
  EXPECT_EQ(StateName(State::kComplete), "complete");
  EXPECT_EQ(StateName(State::kDamaged), "damaged");
  EXPECT_EQ(EventKindName(EventKind::kMark), "mark");
  EXPECT_EQ(EventKindName(EventKind::kNotice), "notice");
  EXPECT_EQ(EventKindName(static_cast<EventKind>(200)), "");
}

}  // namespace
}  // namespace proofdrive::session
