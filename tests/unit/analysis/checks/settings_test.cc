#include "analysis/checks/settings.h"

#include <gtest/gtest.h>

#include <set>

#include "tests/support/matchers.h"

namespace proofdrive::analysis {
namespace {

TEST(CheckSettings, DefaultsCarryTheirOrigin) {
  const CheckSettings settings;
  const UsedLimit limit = settings.Limit("insulation.fault");
  EXPECT_EQ(limit.value, 100);
  EXPECT_EQ(limit.mark, Mark::kPublished);
  EXPECT_NE(limit.source.find("UN R100"), std::string::npos);
  EXPECT_EQ(settings.Limit("balance.look").mark, Mark::kProposal);
}

TEST(CheckSettings, EveryRowSaysWhereItComesFrom) {
  std::set<std::string_view> names;
  for (const SettingRow& row : AllSettings()) {
    EXPECT_TRUE(names.insert(row.name).second) << row.name << " is there twice";
    EXPECT_FALSE(row.source.empty()) << row.name;
    EXPECT_FALSE(row.meaning.empty()) << row.name;
  }
}

TEST(CheckSettings, SetByTheUser) {
  CheckSettings settings;
  ASSERT_OK(settings.Set("insulation.warn = 600"));
  EXPECT_EQ(settings.Get("insulation.warn"), 600);
  EXPECT_EQ(settings.Limit("insulation.warn").mark, Mark::kUser);
  EXPECT_EQ(settings.Limit("insulation.warn").source, "default 500");
  ASSERT_OK(settings.Set("pack.chemistry=lfp"));
  EXPECT_EQ(settings.chemistry(), Chemistry::kLfp);
}

TEST(CheckSettings, MistakesSayWhatToDo) {
  CheckSettings settings;
  EXPECT_EQ(settings.Set("insulation.wran=5").message(),
            "there is no setting \"insulation.wran\"; did you mean \"insulation.warn\"?");
  EXPECT_EQ(settings.Set("pack.capacity").message(),
            "\"pack.capacity\" is no setting; write NAME=VALUE, for example pack.capacity=107");
  EXPECT_EQ(settings.Set("pack.chemistry=lead").message(),
            "pack.chemistry is nmc, lfp or unknown, not \"lead\"");
  EXPECT_EQ(settings.Set("pack.capacity=-1").message(), "pack.capacity must not be negative");
  EXPECT_FALSE(settings.Set("pack.capacity=much").ok());
}

}  // namespace
}  // namespace proofdrive::analysis
