#include "analysis/checking/settings.h"

#include <gtest/gtest.h>

#include <set>

#include "decoders/language/keys.h"
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

TEST(CheckSettings, FactsOfTheDefinitionFiles) {
  const std::vector<decoders::Fact> facts = {
      {"pack.chemistry", "nmc"}, {"pack.capacity", "107.26"}, {"pack.usable_energy", "38.1"}};
  CheckSettings settings;
  ASSERT_OK(settings.Set("pack.capacity=94"));
  settings.AddFacts(facts);
  EXPECT_EQ(settings.chemistry(), Chemistry::kNmc);
  EXPECT_EQ(settings.Get("pack.usable_energy"), 38.1);
  EXPECT_EQ(settings.Limit("pack.usable_energy").source, "facts of the definition files");
  EXPECT_EQ(settings.Get("pack.capacity"), 94) << "--set overrides";
  EXPECT_EQ(settings.Limit("pack.capacity").source, "with --set");
  CheckSettings doubted;
  ASSERT_OK(doubted.Set("pack.chemistry=unknown"));
  doubted.AddFacts(facts);
  EXPECT_EQ(doubted.chemistry(), Chemistry::kUnknown);
}

// What a definition file may state is what the checks know, and the other way round.
TEST(CheckSettings, EveryFactIsASetting) {
  for (const decoders::KeyRule& key : decoders::kFactsRule.keys) {
    const std::string value = std::string(key.name) + "=" + std::string(key.example);
    EXPECT_OK(CheckSettings().Set(value)) << value;
  }
  for (const SettingRow& row : AllSettings()) {
    const bool fact = row.value == 0 || row.name == "pack.cell_most";
    const bool of_the_recording = row.name == "rest.before";
    EXPECT_EQ(decoders::kFactsRule.Find(row.name) != nullptr, fact && !of_the_recording)
        << row.name;
  }
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
