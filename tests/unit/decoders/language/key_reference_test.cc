// What is written about the keys agrees with the table the loader uses. To bring the documents up
// to date, run this once with PROOFDRIVE_WRITE_EXPECTED=1.
#include "decoders/language/key_reference.h"

#include <gtest/gtest.h>

#include <fstream>
#include <set>

#include <nlohmann/json.hpp>

#include "decoders/language/keys.h"
#include "tests/support/expected_file.h"
#include "tests/support/places.h"
#include "tests/unit/decoders/test_definitions.h"

namespace proofdrive::decoders {
namespace {

const std::string kDocument = proofdrive::testing::SourcePath("docs/definitions.md");
const std::string kSchema =
    proofdrive::testing::SourcePath("decoders/definitions/definitions.schema.json");
const std::string kBegin = "<!-- key tables begin: written by key_reference_test -->\n";
const std::string kEnd = "<!-- key tables end -->\n";

TEST(KeyReference, DocumentAgrees) {
  std::string text = proofdrive::testing::ReadText(kDocument);
  const std::size_t begin = text.find(kBegin);
  const std::size_t end = text.find(kEnd);
  ASSERT_NE(begin, std::string::npos);
  ASSERT_NE(end, std::string::npos);
  const std::size_t tables = begin + kBegin.size();
  if (proofdrive::testing::WritingExpected()) {
    text.replace(tables, end - tables, KeyReference());
    std::ofstream(kDocument, std::ios::binary) << text;
    GTEST_SKIP() << "wrote " << kDocument;
  }
  EXPECT_EQ(text.substr(tables, end - tables), KeyReference());
}

TEST(KeyReference, SchemaAgrees) {
  if (proofdrive::testing::WritingExpected())
    std::ofstream(kSchema, std::ios::binary) << KeySchema();
  EXPECT_EQ(proofdrive::testing::ReadText(kSchema), KeySchema());
}

TEST(KeyReference, SchemaIsJsonWithEveryKey) {
  const auto schema = nlohmann::json::parse(KeySchema());
  for (const MappingRule* rule : AllMappingRules()) {
    const auto& properties = schema["$defs"][std::string(rule->name)]["properties"];
    std::size_t names = rule->keys.size();
    for (const KeyRule& key : rule->keys) names += key.formerly.empty() ? 0U : 1U;
    EXPECT_EQ(properties.size(), names) << rule->name;
    for (const KeyRule& key : rule->keys) {
      EXPECT_TRUE(properties.contains(std::string(key.name))) << rule->name << " " << key.name;
    }
  }
}

TEST(KeyReference, EveryRuleThatIsUsedIsListed) {
  std::set<const MappingRule*> listed;
  for (const MappingRule* rule : AllMappingRules()) listed.insert(rule);
  for (const MappingRule* rule : AllMappingRules()) {
    for (const KeyRule& key : rule->keys) {
      EXPECT_TRUE(key.members == nullptr || listed.contains(key.members)) << key.name;
      EXPECT_EQ(key.type == KeyType::kChoice, !key.choices.empty()) << key.name;
    }
  }
}

// Every block of the document that starts with ```yaml is a file without mistakes.
TEST(KeyReference, ExamplesOfTheDocumentLoad) {
  const std::string text = proofdrive::testing::ReadText(kDocument);
  int examples = 0;
  for (std::size_t at = text.find("```yaml\n"); at != std::string::npos;
       at = text.find("```yaml\n", at + 1)) {
    const std::size_t begin = at + 8;
    const std::string example = text.substr(begin, text.find("```", begin) - begin);
    EXPECT_NO_THROW(testing::Load(example)) << example;
    ++examples;
  }
  EXPECT_GE(examples, 10);
}

}  // namespace
}  // namespace proofdrive::decoders
