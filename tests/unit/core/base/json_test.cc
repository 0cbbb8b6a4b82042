#include "core/base/json.h"

#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

namespace proofdrive {
namespace {

TEST(JsonString, EscapesWhatJsonAsksFor) {
  EXPECT_EQ(JsonString("a\"b\\c\n"), "\"a\\\"b\\\\c\\n\"");
}

TEST(JsonString, ReplacesBytesThatAreNoUtf8) {
  EXPECT_EQ(JsonString("a\xFF"), "\"a\xEF\xBF\xBD\"");
}

TEST(DumpJson, EscapesWhatATerminalWouldObey) {
  const std::string text = "\u009B31m\u202E\x7F Größe \U000E0041";
  const std::string json = DumpJson(nlohmann::json(text));
  EXPECT_EQ(json, "\"\\u009b31m\\u202e\\u007f Größe \\udb40\\udc41\"");
  EXPECT_EQ(nlohmann::json::parse(json), text);
}

TEST(DumpJson, IsOneLineUnlessIndented) {
  const nlohmann::json document = {{"b", 1}};
  EXPECT_EQ(DumpJson(document), "{\"b\":1}");
  EXPECT_EQ(DumpJson(document, 2), "{\n  \"b\": 1\n}");
}

TEST(DumpJson, ADocumentEndsInALineBreak) {
  EXPECT_EQ(DumpJsonDocument(nlohmann::json{{"b", 1}}), "{\n  \"b\": 1\n}\n");
}

TEST(DumpJson, KeepsTheOrderOfKeysOfAnOrderedDocument) {
  nlohmann::ordered_json document;
  document["b"] = 1;
  document["a"] = 2;
  EXPECT_EQ(DumpJson(document), "{\"b\":1,\"a\":2}");
}

}  // namespace
}  // namespace proofdrive
