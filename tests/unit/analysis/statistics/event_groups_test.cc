#include "analysis/statistics/event_groups.h"

#include <gtest/gtest.h>

namespace proofdrive::analysis {
namespace {

// Worked chain of a crash, common practice, no source; the gap of 5 s is a proposal.
TEST(EventGroups, CrashChainHasTwoFirstMembers) {
  std::vector<NamedOccurrence> events = {{184.0, "12 V low"},
                                         {0.03, "contactors open"},
                                         {0.00, "crash latch"},
                                         {0.03, "interlock open"},
                                         {0.21, "converter off"}};
  for (int i = 0; i < 7; ++i) events.push_back({186.0 + i / 3.0, "communication"});
  const auto groups = GroupByTime(events, 5);
  ASSERT_EQ(groups.size(), 2U);
  EXPECT_EQ(groups[0].front().name, "crash latch");
  EXPECT_EQ(groups[0].size(), 4U);
  EXPECT_EQ(groups[1].front().name, "12 V low");
  EXPECT_EQ(groups[1].size(), 8U);
  EXPECT_TRUE(GroupByTime({}, 5).empty());
}

}  // namespace
}  // namespace proofdrive::analysis
