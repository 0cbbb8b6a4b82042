#include "decoders/language/fact_reader.h"

#include <algorithm>

#include "core/base/text.h"

namespace proofdrive::decoders {
namespace {

// Where a number can be, chosen wide: what lies outside is in another unit.
struct Bounds {
  std::string_view name;
  double least, most;
};
constexpr Bounds kBounds[] = {
    {"pack.cells", 1, 1000},
    {"pack.cell_most", 1, 5},
    {"pack.working_voltage", 5, 2000},
    {"pack.capacity", 0.5, 2000},
    {"pack.usable_energy", 0.05, 1000},
    {"pack.heat_capacity", 0.5, 5000},
    {"precharge.resistor", 0.5, 5000},
    {"cooling.pump_index", 0.01, 100},
    {"cooling.pump_speed", 100, 30000},
    {"cooling.flow_index", 0.01, 100},
    {"cooling.sensor_volume", 0.05, 100},
};

bool InBounds(const MappingReader& keys, const std::string& name, double value) {
  const auto* bounds = std::find_if(std::begin(kBounds), std::end(kBounds),
                                    [&](const Bounds& row) { return row.name == name; });
  if (bounds == std::end(kBounds) || (value >= bounds->least && value <= bounds->most)) return true;
  keys.Error(keys.MarkOf(name),
             "\"" + name + "\" is " + FormatDouble(value) + " but must be " +
                 FormatDouble(bounds->least) + " to " + FormatDouble(bounds->most),
             "it is the " + std::string(kFactsRule.Find(name)->meaning));
  return false;
}

// The value as written when it is right.
std::optional<std::string> ReadValue(const MappingReader& keys, const KeyRule& rule) {
  const std::string name(rule.name);
  if (rule.type == KeyType::kChoice) return keys.Choice(name);
  if (rule.type == KeyType::kText) return keys.Text(name);
  if (rule.type == KeyType::kInteger) {
    const auto count = keys.Integer(name, 0, 1'000'000);
    const bool right = count && InBounds(keys, name, static_cast<double>(*count));
    return right ? std::optional(std::to_string(*count)) : std::nullopt;
  }
  const auto number = keys.Number(name);
  if (!number || !InBounds(keys, name, *number)) return std::nullopt;
  return FormatDouble(*number);
}

void AddFact(const MappingReader& keys, Draft& draft, Fact fact) {
  auto& facts = draft.definitions.facts;
  const Mark mark = keys.MarkOf(fact.name);
  const auto [known, is_new] = draft.facts.emplace(fact.name, mark);
  if (is_new) {
    facts.push_back(std::move(fact));
    return;
  }
  const auto first = std::find_if(facts.begin(), facts.end(),
                                  [&](const Fact& other) { return other.name == fact.name; });
  if (first->value == fact.value) return;
  keys.Error(mark, "\"" + fact.name + "\" is stated twice: " + first->value + " and " + fact.value,
             "the first one is at " + draft.reporter.Show(known->second) + "; make them equal");
}

}  // namespace

void ReadFacts(const MappingReader& file, Draft& draft) {
  const YamlNode* node = file.Find("facts");
  if (node == nullptr) return;
  const MappingReader keys(*node, kFactsRule, "\"facts\"", draft.reporter);
  for (const KeyRule& rule : kFactsRule.keys) {
    if (keys.Find(rule.name) == nullptr) continue;
    if (auto value = ReadValue(keys, rule)) {
      AddFact(keys, draft, {std::string(rule.name), std::move(*value)});
    }
  }
}

}  // namespace proofdrive::decoders
