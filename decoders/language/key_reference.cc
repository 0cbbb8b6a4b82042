#include "decoders/language/key_reference.h"

#include "decoders/language/keys.h"
#include "decoders/model/checksums.h"
#include "decoders/model/roles.h"

namespace proofdrive::decoders {
namespace {

// '|' would end a cell of the table.
std::string Cell(std::string_view text) {
  std::string cell;
  for (const char c : text) {
    if (c == '|') cell += '\\';
    cell += c;
  }
  return cell;
}

std::string Code(std::string_view text) {
  return text.empty() ? std::string() : "`" + Cell(text) + "`";
}

std::string TypeCell(const KeyRule& key) {
  if (key.type != KeyType::kChoice) return std::string(KeyTypeName(key.type));
  std::string text;
  for (const std::string& choice : ChoicesOf(key)) {
    text += (text.empty() ? "`" : ", `") + choice + "`";
  }
  return text;
}

std::string MeaningCell(const KeyRule& key) {
  const std::string older = key.formerly.empty() ? "" : "; older name: " + Code(key.formerly);
  return Cell(key.meaning) + older;
}

std::string KeyTable(const MappingRule& rule) {
  std::string text = "### Keys of " + std::string(rule.name) + "\n\n";
  text += "| key | value | meaning | example |\n|---|---|---|---|\n";
  for (const KeyRule& key : rule.keys) {
    text += "| `" + std::string(key.name) + "`" + (key.required ? " (needed)" : "") + " | " +
            TypeCell(key) + " | " + MeaningCell(key) + " | " + Code(key.example) + " |\n";
  }
  return text + "\n";
}

// --- JSON ---

std::string Json(std::string_view text) {
  std::string quoted = "\"";
  for (const char c : text) {
    if (c == '"' || c == '\\') quoted += '\\';
    quoted += c;
  }
  return quoted + "\"";
}

std::string Reference(const MappingRule& rule) {
  return "{\"$ref\": " + Json("#/$defs/" + std::string(rule.name)) + "}";
}

std::string ChoiceSchema(const KeyRule& key) {
  std::string text;
  for (const std::string& choice : ChoicesOf(key)) {
    text += (text.empty() ? "" : ", ") + Json(choice);
  }
  return "\"enum\": [" + text + "]";
}

std::string TypeSchema(const KeyRule& key) {
  switch (key.type) {
    case KeyType::kYesNo:
      return "\"enum\": [\"yes\", \"no\", true, false]";
    case KeyType::kNumber:
      return "\"type\": \"number\"";
    case KeyType::kInteger:
      return "\"type\": [\"integer\", \"string\"]";
    case KeyType::kChoice:
      return ChoiceSchema(key);
    case KeyType::kPatterns:
      return "\"type\": [\"integer\", \"string\", \"array\"]";
    case KeyType::kIntegers:
      return "\"type\": \"array\", \"items\": {\"type\": [\"integer\", \"string\"]}";
    case KeyType::kTextOrList:
      return "\"type\": [\"string\", \"array\"]";
    case KeyType::kStates:
      return "\"type\": \"object\", \"additionalProperties\": {\"anyOf\": [{\"type\": "
             "[\"string\", \"boolean\"]}, " +
             Reference(kStateRule) + "]}";
    case KeyType::kMapping:
      return "\"allOf\": [" + Reference(*key.members) + "]";
    case KeyType::kNamedMappings:
    case KeyType::kPages:
      return "\"type\": \"object\", \"additionalProperties\": " + Reference(*key.members);
    default:
      return "\"type\": [\"string\", \"number\"]";
  }
}

std::string RuleSchema(const MappingRule& rule) {
  std::string text = "{\n    \"type\": [\"object\", \"null\"], \"additionalProperties\": false";
  std::string required;
  for (const KeyRule& key : rule.keys) {
    if (key.required) required += (required.empty() ? "" : ", ") + Json(key.name);
  }
  if (!required.empty()) text += ",\n    \"required\": [" + required + "]";
  text += ",\n    \"properties\": {";
  bool first = true;
  for (const KeyRule& key : rule.keys) {
    const std::string schema = TypeSchema(key) + ", \"description\": " + Json(key.meaning) + "}";
    text += std::string(first ? "" : ",") + "\n      " + Json(key.name) + ": {" + schema;
    first = false;
    if (key.formerly.empty()) continue;
    text += ",\n      " + Json(key.formerly) + ": {\"deprecated\": true, " + schema;
  }
  return text + "}}";
}

}  // namespace

std::string KeyReference() {
  std::string text;
  for (const MappingRule* rule : AllMappingRules()) text += KeyTable(*rule);
  text += "### Roles\n\n| role | unit | what it is |\n|---|---|---|\n";
  for (const Role& role : AllRoles()) {
    text += "| `" + std::string(role.name) + "` | " + std::string(role.unit) + " | " +
            Cell(role.meaning) + " |\n";
  }
  text += "\n### Checksums\n\n| kind | bits | defined by |\n|---|---|---|\n";
  for (const Checksum& checksum : AllChecksums()) {
    text += "| `" + std::string(checksum.name) + "` | " + std::to_string(checksum.bits) + " | " +
            Cell(checksum.standard) + " |\n";
  }
  return text;
}

std::string KeySchema() {
  std::string text =
      "{\n  \"$schema\": \"https://json-schema.org/draft/2020-12/schema\",\n"
      "  \"title\": \"Proofdrive definition file\",\n  \"allOf\": [" +
      Reference(kFileRule) + "],\n  \"$defs\": {";
  bool first = true;
  for (const MappingRule* rule : AllMappingRules()) {
    text += std::string(first ? "" : ",") + "\n  " + Json(rule->name) + ": " + RuleSchema(*rule);
    first = false;
  }
  return text + "\n}}\n";
}

}  // namespace proofdrive::decoders
