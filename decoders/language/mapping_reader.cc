#include "decoders/language/mapping_reader.h"

#include <algorithm>
#include <cctype>
#include <cstdio>
#include <utility>

#include "core/base/text.h"

namespace proofdrive::decoders {
namespace {

// A limit in the way the key is usually written.
std::string ShowLike(std::string_view example, std::uint64_t value) {
  if (!example.starts_with("0x")) return std::to_string(value);
  char text[24];
  std::snprintf(text, sizeof(text), "0x%llX", static_cast<unsigned long long>(value));
  return text;
}

std::string Quoted(std::string_view text) { return "\"" + std::string(text) + "\""; }

}  // namespace

bool IsName(std::string_view text) {
  if (text.empty() || std::isdigit(static_cast<unsigned char>(text[0])) != 0) return false;
  return std::all_of(text.begin(), text.end(), [](char c) {
    return std::isalnum(static_cast<unsigned char>(c)) != 0 || c == '_';
  });
}

std::optional<std::int64_t> ReadInt64(const std::string& text, const Mark& mark,
                                      const std::string& what, Reporter& reporter) {
  const auto number = ParseInt64(Trim(text));
  if (number.ok()) return *number;
  reporter.Error(mark, Quoted(text) + " is not a whole number",
                 what + " is written like 17 or 0x11");
  return std::nullopt;
}

MappingReader::MappingReader(const YamlNode& node, const MappingRule& rule, std::string what,
                             Reporter& reporter)
    : node_(node), rule_(rule), what_(std::move(what)), reporter_(reporter) {
  if (node.kind == YamlNode::Kind::kText || node.kind == YamlNode::Kind::kList) {
    reporter_.Error(node.mark, what_ + " must have keys of its own",
                    "write " + std::string(rule.keys.front().name) + ": ... below it, or {" +
                        std::string(rule.keys.front().name) + ": ...}");
    return;
  }
  CheckKeys();
}

std::string MappingReader::UnknownHint(const YamlNode& child) const {
  // Within braces "scale: 0,1" is a key "1" behind "scale: 0".
  const YamlNode* before = &child == node_.children.data() ? nullptr : &child - 1;
  if (before != nullptr && child.kind == YamlNode::Kind::kEmpty && ParseUint64(child.key).ok() &&
      ParseDouble(before->text).ok()) {
    return "write the number with a point: " + before->key + ": " + before->text + "." + child.key;
  }
  const auto names = rule_.Names();
  const std::string nearest = NearestName(child.key, names);
  return nearest.empty() ? "possible keys: " + Join(names, ", ")
                         : "did you mean " + Quoted(nearest) + "?";
}

// Both names of one key.
void MappingReader::CheckOlderName(const YamlNode& child, const KeyRule& rule) const {
  if (child.key == rule.name) return;
  for (const YamlNode& other : node_.children) {
    if (other.key != rule.name) continue;
    reporter_.Error(
        child.key_mark,
        Quoted(child.key) + " is the older name of " + Quoted(rule.name) + ", which is given, too",
        "leave " + Quoted(child.key) + " out");
  }
}

void MappingReader::CheckKeys() const {
  for (const YamlNode& child : node_.children) {
    const KeyRule* rule = rule_.Find(child.key);
    if (rule != nullptr) CheckOlderName(child, *rule);
    if (rule != nullptr) continue;
    if (reporter_.full()) return;
    reporter_.Error(child.key_mark,
                    "unknown key " + Quoted(child.key) + " in " + std::string(rule_.name),
                    UnknownHint(child));
  }
  for (const KeyRule& key : rule_.keys) {
    if (!key.required || Find(key.name) != nullptr) continue;
    const std::string example(key.example.empty() ? "..." : key.example);
    reporter_.Error(
        node_.key.empty() ? node_.mark : node_.key_mark, what_ + " has no " + Quoted(key.name),
        "add " + std::string(key.name) + ": " + example + " (" + std::string(key.meaning) + ")");
  }
}

const YamlNode* MappingReader::Find(std::string_view key) const {
  // A key that the rule does not know was reported; readers shared by several rules must not see
  // it.
  const KeyRule* rule = rule_.Find(key);
  if (node_.kind != YamlNode::Kind::kMapping || rule == nullptr) return nullptr;
  for (const YamlNode& child : node_.children) {
    if (rule_.Find(child.key) == rule) return &child;
  }
  return nullptr;
}

Mark MappingReader::MarkOf(std::string_view key) const {
  const YamlNode* node = Find(key);
  if (node != nullptr) return node->mark;
  return node_.key.empty() ? node_.mark : node_.key_mark;
}

std::string MappingReader::ExampleOf(std::string_view key) const {
  const KeyRule* rule = rule_.Find(key);
  return "write for example " + std::string(key) + ": " +
         std::string(rule == nullptr ? "..." : rule->example);
}

const YamlNode* MappingReader::FindText(std::string_view key) const {
  const YamlNode* node = Find(key);
  if (node == nullptr || node->kind == YamlNode::Kind::kText) return node;
  if (node->kind == YamlNode::Kind::kEmpty) {
    Error(node->mark, Quoted(node->key) + " has no value", ExampleOf(key));
  } else {
    Error(node->mark, Quoted(node->key) + " must be a single value", ExampleOf(key));
  }
  return nullptr;
}

void MappingReader::Report(const YamlNode& node, const TextProblem& problem) const {
  reporter_.Error(node.At(problem.at), problem.message, problem.hint);
}

std::optional<std::string> MappingReader::Text(std::string_view key) const {
  const YamlNode* node = FindText(key);
  if (node == nullptr) return std::nullopt;
  return node->text;
}

std::optional<double> MappingReader::Number(std::string_view key) const {
  const YamlNode* node = FindText(key);
  if (node == nullptr) return std::nullopt;
  const auto number = ParseDouble(Trim(node->text));
  if (number.ok()) return *number;
  Error(node->mark, Quoted(node->text) + " is not a number", NumberHint(key, node->text));
  return std::nullopt;
}

// "0,1" is meant as 0.1.
std::string MappingReader::NumberHint(std::string_view key, std::string text) const {
  const std::size_t comma = text.find(',');
  if (comma == std::string::npos) return ExampleOf(key);
  text[comma] = '.';
  if (!ParseDouble(Trim(text)).ok()) return ExampleOf(key);
  return "write it with a point: " + std::string(key) + ": " + std::string(Trim(text));
}

std::optional<std::uint64_t> MappingReader::Integer(std::string_view key, std::uint64_t least,
                                                    std::uint64_t most) const {
  const YamlNode* node = FindText(key);
  if (node == nullptr) return std::nullopt;
  const auto number = ParseUint64(Trim(node->text));
  if (!number.ok()) {
    Error(node->mark, Quoted(node->text) + " is not a whole number", ExampleOf(key));
    return std::nullopt;
  }
  if (*number < least || *number > most) {
    const std::string_view example = rule_.Find(key)->example;
    Error(node->mark, Quoted(key) + " is " + node->text + " but must be " +
                          ShowLike(example, least) + " to " + ShowLike(example, most));
    return std::nullopt;
  }
  return *number;
}

bool MappingReader::YesNo(std::string_view key) const {
  const YamlNode* node = FindText(key);
  if (node == nullptr) return false;
  if (node->text == "yes" || node->text == "true") return true;
  if (node->text != "no" && node->text != "false") {
    Error(node->mark, Quoted(key) + " must be yes or no, not " + Quoted(node->text),
          ExampleOf(key));
  }
  return false;
}

std::optional<Duration> MappingReader::Time(std::string_view key) const {
  const YamlNode* node = FindText(key);
  if (node == nullptr) return std::nullopt;
  const auto duration = ParseDuration(node->text);
  const bool has_unit =
      !node->text.empty() && std::isalpha(static_cast<unsigned char>(node->text.back())) != 0;
  if (duration.ok() && has_unit) return *duration;
  Error(node->mark, Quoted(node->text) + " is not a time with its unit (us, ms, s, min, h)",
        ExampleOf(key));
  return std::nullopt;
}

std::optional<Range> MappingReader::RangeOf(std::string_view key) const {
  const YamlNode* node = FindText(key);
  if (node == nullptr) return std::nullopt;
  const std::size_t dots = node->text.find("..");
  const std::string_view text = node->text;
  const auto low = ParseDouble(Trim(text.substr(0, dots)));
  const auto high = ParseDouble(dots == std::string_view::npos ? std::string_view()
                                                               : Trim(text.substr(dots + 2)));
  if (!low.ok() || !high.ok()) {
    Error(node->mark, Quoted(text) + " is not a range", ExampleOf(key));
    return std::nullopt;
  }
  if (*low >= *high) {
    Error(node->mark, "the range " + node->text + " contains nothing",
          *low == *high
              ? "give two different limits"
              : "the lower limit comes first: " + FormatDouble(*high) + ".." + FormatDouble(*low));
    return std::nullopt;
  }
  return Range{*low, *high};
}

std::optional<std::string> MappingReader::Choice(std::string_view key) const {
  const YamlNode* node = FindText(key);
  if (node == nullptr) return std::nullopt;
  const auto choices = ChoicesOf(*rule_.Find(key));
  if (std::find(choices.begin(), choices.end(), node->text) != choices.end()) return node->text;
  const std::string nearest = NearestName(node->text, choices);
  Error(node->mark, Quoted(key) + " cannot be " + Quoted(node->text),
        nearest.empty() ? "possible: " + Join(choices, ", ")
                        : "did you mean " + Quoted(nearest) + "?");
  return std::nullopt;
}

KnownFrom MappingReader::KnownFromOr(KnownFrom otherwise) const {
  if (Find("known from") == nullptr) return otherwise;
  return KnownFromOf(Choice("known from").value_or("")).value_or(otherwise);
}

std::optional<Condition> MappingReader::ConditionOf(std::string_view key) const {
  const YamlNode* node = FindText(key);
  if (node == nullptr) return std::nullopt;
  return Condition{node->text, reporter_.PlaceOf(node->mark)};
}

const std::vector<YamlNode>& MappingReader::Members(std::string_view key) const {
  static const std::vector<YamlNode> kNone;
  const YamlNode* node = Find(key);
  if (node == nullptr || node->kind == YamlNode::Kind::kEmpty) return kNone;
  if (node->kind == YamlNode::Kind::kMapping) return node->children;
  Error(node->mark, Quoted(key) + " must list names, each with its own keys",
        "write the name and a colon on a line of its own, indented below " + std::string(key));
  return kNone;
}

}  // namespace proofdrive::decoders
