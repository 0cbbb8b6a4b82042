// Reads the members of one mapping against its rule and reports what does not fit.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "core/base/time.h"
#include "decoders/authoring/reporter.h"
#include "decoders/authoring/yaml_source.h"
#include "decoders/language/keys.h"
#include "decoders/model/definitions.h"

namespace proofdrive::decoders {

// Every getter returns nullopt when the key is missing or its value is wrong; the latter has been
// reported. The node must outlive the reader.
class MappingReader {
 public:
  // Reports unknown keys (with the nearest known one) and missing required ones.
  // `what` names the mapping in messages: "signal \"pack_voltage\"".
  MappingReader(const YamlNode& node, const MappingRule& rule, std::string what,
                Reporter& reporter);

  // The value of a key, null when it is missing or unknown to the rule.
  const YamlNode* Find(std::string_view key) const;
  // Place of the key's value; of the whole mapping when the key is missing.
  Mark MarkOf(std::string_view key) const;

  std::optional<std::string> Text(std::string_view key) const;
  std::optional<double> Number(std::string_view key) const;
  std::optional<std::uint64_t> Integer(std::string_view key, std::uint64_t least,
                                       std::uint64_t most) const;
  // False when the key is missing.
  bool YesNo(std::string_view key) const;
  std::optional<Duration> Time(std::string_view key) const;
  std::optional<Range> RangeOf(std::string_view key) const;
  // The chosen word.
  std::optional<std::string> Choice(std::string_view key) const;
  // `known from`; `otherwise` when it is missing or wrong.
  KnownFrom KnownFromOr(KnownFrom otherwise) const;
  std::optional<Condition> ConditionOf(std::string_view key) const;
  // Members of a mapping of names; empty when missing. Reports values that are no mapping.
  const std::vector<YamlNode>& Members(std::string_view key) const;

  const std::string& what() const { return what_; }
  // Reports a problem found in the text of `node`.
  void Report(const YamlNode& node, const TextProblem& problem) const;
  void Error(const Mark& mark, const std::string& message, const std::string& hint = {}) const {
    reporter_.Error(mark, message, hint);
  }

 private:
  const YamlNode* FindText(std::string_view key) const;
  std::string ExampleOf(std::string_view key) const;
  std::string NumberHint(std::string_view key, std::string text) const;
  void CheckKeys() const;
  std::string UnknownHint(const YamlNode& child) const;
  void CheckOlderName(const YamlNode& child, const KeyRule& rule) const;

  const YamlNode& node_;
  const MappingRule& rule_;
  std::string what_;
  Reporter& reporter_;
};

// A key or value that must be a whole number, possibly negative or 0x. Reports what is not.
std::optional<std::int64_t> ReadInt64(const std::string& text, const Mark& mark,
                                      const std::string& what, Reporter& reporter);

// Letters, digits and '_', not starting with a digit: usable in formulas.
bool IsName(std::string_view text);

}  // namespace proofdrive::decoders
