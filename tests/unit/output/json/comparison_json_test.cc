// The shape of `compare --json`: part of the command contract.
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "output/json/comparison_json.h"

namespace proofdrive::output {
namespace {

using Json = nlohmann::ordered_json;

std::vector<std::string> KeysOf(const Json& json) {
  std::vector<std::string> keys;
  for (const auto& entry : json.items()) keys.push_back(entry.key());
  return keys;
}

analysis::Comparison OneOfEach() {
  analysis::Comparison comparison;
  comparison.warnings.resize(1);
  comparison.traffic.only_before.resize(1);
  comparison.traffic.only_after.resize(1);
  comparison.traffic.period.resize(1);
  comparison.traffic.length.resize(1);
  return comparison;
}

TEST(ComparisonJson, HasTheKeysOfTheContractInOrder) {
  const Json json = Json::parse(ComparisonJson(OneOfEach()));
  EXPECT_EQ(KeysOf(json),
            (std::vector<std::string>{"answer", "next", "warnings", "traffic", "signals", "units",
                                      "definition_changes", "checks", "plan", "before", "after",
                                      "order_doubt", "all_guesses"}));
  EXPECT_EQ(KeysOf(json["warnings"][0]),
            (std::vector<std::string>{"name", "kind", "unit", "severity", "verdict", "why",
                                      "stands_on", "text", "before", "after", "frames", "values"}));
  EXPECT_EQ(
      KeysOf(json["traffic"]),
      (std::vector<std::string>{"only_before", "only_after", "period", "length", "rate", "jitter",
                                "bits", "constants", "moved", "faults", "buses", "silent_units"}));
}

TEST(ComparisonJson, IsTheSameTextEveryTime) {
  EXPECT_EQ(ComparisonJson(OneOfEach()), ComparisonJson(OneOfEach()));
}

TEST(ComparisonJson, TextThatIsNotUtf8IsReplacedNotFatal) {
  analysis::Comparison comparison = OneOfEach();
  comparison.warnings[0].name = "bad \xFF byte";
  const Json json = Json::parse(ComparisonJson(comparison));
  EXPECT_EQ(json["warnings"][0]["name"], "bad \xEF\xBF\xBD byte");
}

}  // namespace
}  // namespace proofdrive::output
