// ONE table of every key of the definition language. The loader checks keys against it, and the
// documentation and the JSON Schema are made from it.
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace proofdrive::decoders {

// What may stand after a key.
enum class KeyType {
  kText,
  kName,  // of something defined elsewhere
  kYesNo,
  kNumber,
  kInteger,   // decimal or 0x
  kDuration,  // "100 ms"
  kRange,     // "-40..120"
  kChoice,    // one of KeyRule::choices
  kLocation,  // "bytes 2-3"
  kStart,     // "byte 2"
  kEach,      // "2 bytes"
  kBytes,     // "bytes 0-6"
  kPatterns,  // one integer or a list
  kIntegers,  // a list
  kStates,    // {0: off, 1..3: on, 7: {name: e7, means: fault}}
  kFormula,
  kCondition,
  kTextOrList,     // one text or a list
  kMapping,        // of KeyRule::members
  kNamedMappings,  // name: {members}
  kPages,          // page number: {members}
};
std::string_view KeyTypeName(KeyType type);  // as the documentation says it

struct KeyRule {
  std::string_view name;
  KeyType type = KeyType::kText;
  bool required = false;
  std::string_view meaning;  // one line
  std::string_view example;
  const struct MappingRule* members = nullptr;
  std::string_view choices = {};   // "a | b", or such a table: ask ChoicesOf
  std::string_view formerly = {};  // its older name, which is still read
};

// Stand for the names in the tables of checksums and of meanings.
inline constexpr std::string_view kChecksumNames = "<checksums>";
inline constexpr std::string_view kMeaningNames = "<meanings>";

// The keys that one kind of mapping may have.
struct MappingRule {
  std::string_view name;  // "a signal", for messages
  std::span<const KeyRule> keys;

  // By its name or its older one; null when there is none.
  const KeyRule* Find(std::string_view key) const;
  std::vector<std::string> Names() const;
};

std::vector<std::string> ChoicesOf(const KeyRule& rule);

extern const MappingRule kFileRule;
extern const MappingRule kFactsRule;
extern const MappingRule kBusRule;
extern const MappingRule kFrameRule;
extern const MappingRule kPageSelectRule;
extern const MappingRule kPageRule;
extern const MappingRule kSignalRule;
extern const MappingRule kSeriesRule;
extern const MappingRule kStateRule;
extern const MappingRule kCounterRule;
extern const MappingRule kChecksumRule;
extern const MappingRule kControlUnitRule;
extern const MappingRule kReadingRule;
extern const MappingRule kComputedRule;
extern const MappingRule kWarningRule;
extern const MappingRule kProvenByRule;

// All of the above, outermost first.
std::span<const MappingRule* const> AllMappingRules();

}  // namespace proofdrive::decoders
