#include "analysis/measured/quantity.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <vector>

#include "analysis/checking/unit_conversion.h"
#include "core/base/text.h"
#include "decoders/model/roles.h"

namespace proofdrive::analysis {
namespace {

struct Alias {
  std::string_view words;
  decoders::RoleName role;
};
// As people say it. Names of roles need no row.
constexpr Alias kAliases[] = {{"insulation", "isolation resistance"},
                              {"insulation resistance", "isolation resistance"},
                              {"isolation", "isolation resistance"},
                              {"pack", "pack voltage"},
                              {"link", "link voltage"},
                              {"current", "pack current"},
                              {"cell", "cell voltages"},
                              {"cell voltage", "cell voltages"},
                              {"cell temperature", "cell temperatures"},
                              {"module temperature", "module temperatures"},
                              {"12 V supply", "supply voltage"},
                              {"12V supply", "supply voltage"},
                              {"supply", "supply voltage"},
                              {"coolant temperature", "coolant inlet temperature"},
                              {"coolant inlet", "coolant inlet temperature"},
                              {"coolant outlet", "coolant outlet temperature"},
                              {"outside temperature", "ambient temperature"},
                              {"speed", "vehicle speed"},
                              {"charge", "state of charge"},
                              {"range", "displayed range"}};

constexpr std::string_view kHighVoltage[] = {"isolation resistance",
                                             "pack voltage",
                                             "link voltage",
                                             "pack current",
                                             "cell voltages",
                                             "cell temperatures",
                                             "module temperatures",
                                             "positive voltage to body",
                                             "negative voltage to body"};

constexpr std::string_view kSeries[] = {"cell voltages", "cell temperatures",
                                        "module temperatures"};

Status Wrong(std::string_view text, const std::string& what) {
  return Status(ErrorKind::kInvalidArgument, "\"" + Printable(text) + "\" " + what);
}

std::vector<std::string> WordsOf(std::string_view text) {
  std::vector<std::string> words;
  for (const std::string& word : Split(text, ' ')) {
    if (!Trim(word).empty()) words.emplace_back(Trim(word));
  }
  return words;
}

// "2.1Mohm" as two words.
void SplitUnit(std::vector<std::string>& words) {
  if (words.empty()) return;
  std::string last = words.back();
  std::size_t end = 0;
  const std::string_view number = "+-.0123456789";
  while (end < last.size() && number.find(last[end]) != std::string_view::npos) ++end;
  if (end == 0 || end == last.size()) return;
  words.back() = last.substr(0, end);
  words.push_back(last.substr(end));
}

bool IsOneOf(std::span<const std::string_view> list, std::string_view name) {
  return std::find(list.begin(), list.end(), name) != list.end();
}

const decoders::Role* RoleOf(const std::string& words) {
  const std::string small = LowerAscii(words);
  for (const Alias& alias : kAliases) {
    if (LowerAscii(alias.words) == small) return decoders::FindRole(alias.role);
  }
  const decoders::Role* role = decoders::FindRole(small);
  return role == nullptr || role->unit.empty() ? nullptr : role;
}

std::string NearestQuantity(const std::string& words) {
  std::vector<std::string> names;
  for (const Alias& alias : kAliases) names.emplace_back(alias.words);
  for (const decoders::Role& role : decoders::AllRoles()) {
    if (!role.unit.empty()) names.emplace_back(role.name);
  }
  const std::string nearest = NearestName(LowerAscii(words), names);
  return nearest.empty() ? "possible: " + QuantitiesInWords() : "did you mean \"" + nearest + "\"?";
}

// Takes the number of the cell or sensor off the end of `words`; 0 = none.
std::uint32_t TakeElement(std::vector<std::string>& words) {
  const auto number = words.size() < 2 ? Result<std::uint64_t>(Status(ErrorKind::kNotFound, ""))
                                       : ParseUint64(words.back());
  if (!number.ok() || *number < 1 || *number > 65535) return 0;
  words.pop_back();
  return static_cast<std::uint32_t>(*number);
}

}  // namespace

Result<session::Measurement> ParseMeasured(std::string_view text) {
  std::vector<std::string> words = WordsOf(text);
  SplitUnit(words);
  const auto value = words.size() < 3 ? Result<double>(Status(ErrorKind::kInvalidArgument, ""))
                                      : ParseDouble(words[words.size() - 2]);
  if (!value.ok() || !std::isfinite(*value)) {
    return Wrong(text,
                 "is no measurement: write what, how much and the unit, for example "
                 "\"insulation 2.1 Mohm\" or \"cell 7 3.652 V\"");
  }
  session::Measurement one;
  one.text = Join(words, " ");
  one.value = *value;
  one.unit = words.back();
  words.resize(words.size() - 2);
  one.element = TakeElement(words);
  const std::string quantity = Join(words, " ");
  const decoders::Role* role = RoleOf(quantity);
  if (role == nullptr) {
    return Wrong(quantity, "is nothing that checks know as a number: " + NearestQuantity(quantity));
  }
  one.role = role->name;
  if (!UnitFromTo(one.unit, role->unit)) {
    return Wrong(one.unit, "is no unit of " + one.role + ": write it in " +
                               std::string(role->unit) + ", for example");
  }
  const bool series = IsOneOf(kSeries, one.role);
  if (series != (one.element > 0)) {
    return Wrong(text, series ? "does not say which one: write for example \"" + quantity + " 7 " +
                                    FormatDouble(one.value) + " " + one.unit + "\""
                              : "has a number too many: there is one " + one.role);
  }
  return one;
}

double InUnitOfRole(const session::Measurement& measurement) {
  const decoders::Role* role = decoders::FindRole(measurement.role);
  const auto step = role == nullptr ? std::nullopt : UnitFromTo(measurement.unit, role->unit);
  return step ? measurement.value * step->factor + step->offset : measurement.value;
}

bool IsHighVoltage(std::string_view role) { return IsOneOf(kHighVoltage, role); }

std::string QuantitiesInWords() {
  std::vector<std::string> names;
  for (const Alias& alias : kAliases) names.emplace_back(alias.words);
  return Join(names, ", ") + ", and every role that is a number (docs/definitions.md)";
}

}  // namespace proofdrive::analysis
