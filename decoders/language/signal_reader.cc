#include "decoders/language/signal_reader.h"

#include <algorithm>
#include <limits>
#include <utility>

#include "core/base/text.h"
#include "decoders/formula/words.h"
#include "decoders/language/where_parser.h"
#include "decoders/model/meanings.h"
#include "decoders/model/roles.h"

namespace proofdrive::decoders {
namespace {

std::uint64_t MaskOf(unsigned bits) {
  return bits >= 64 ? ~std::uint64_t{0} : (std::uint64_t{1} << bits) - 1;
}

// Raw values that fit the encoding, as integers.
struct RawLimits {
  std::int64_t low = std::numeric_limits<std::int64_t>::min();
  std::int64_t high = std::numeric_limits<std::int64_t>::max();
};

RawLimits LimitsOf(unsigned bits, Encoding encoding) {
  if (bits == 0 || bits >= 64) return {};
  if (encoding == Encoding::kSigned) {
    const std::int64_t half = std::int64_t{1} << (bits - 1);
    return {-half, half - 1};
  }
  return {0, static_cast<std::int64_t>(MaskOf(bits))};
}

std::string Show(const RawLimits& limits) {
  return std::to_string(limits.low) + " to " + std::to_string(limits.high);
}

Encoding ReadEncoding(const MappingReader& reader, unsigned bits) {
  const bool is_signed = reader.YesNo("signed");
  const std::string type = reader.Find("type") == nullptr
                               ? std::string("integer")
                               : reader.Choice("type").value_or("integer");
  if (type == "integer") return is_signed ? Encoding::kSigned : Encoding::kUnsigned;
  if (type == "text") return Encoding::kText;
  const unsigned wanted = type == "float32" ? 32 : 64;
  if (bits != 0 && bits != wanted) {
    reader.Error(reader.MarkOf("type"),
                 type + " needs " + std::to_string(wanted) + " bits, but " + "this has " +
                     std::to_string(bits),
                 wanted == 32 ? "take 4 bytes, for example bytes 0-3"
                              : "take 8 bytes, for example bytes 0-7");
  }
  if (is_signed) {
    reader.Error(reader.MarkOf("signed"), type + " has its own sign", "remove signed: yes");
  }
  return wanted == 32 ? Encoding::kFloat32 : Encoding::kFloat64;
}

void ReadPattern(const YamlNode& node, unsigned bits, Draft& draft, Signal& signal) {
  const std::string text(Trim(node.text));
  if (node.kind != YamlNode::Kind::kText) {
    draft.reporter.Error(node.mark, "\"absent\" must be a whole number or a list of them",
                         "write for example absent: 0xFFF");
    return;
  }
  std::uint64_t pattern = 0;
  if (const auto number = ParseUint64(text); number.ok()) {
    pattern = *number;
  } else {
    const auto negative = ReadInt64(text, node.mark, "a raw pattern", draft.reporter);
    if (!negative) return;
    if (bits != 0 && *negative < LimitsOf(bits, Encoding::kSigned).low) {
      draft.reporter.Error(node.mark, text + " does not fit " + CountOf(bits, "bit"));
      return;
    }
    pattern = static_cast<std::uint64_t>(*negative) & MaskOf(bits == 0 ? 64 : bits);
  }
  if (bits != 0 && pattern > MaskOf(bits)) {
    draft.reporter.Error(node.mark, text + " does not fit " + CountOf(bits, "bit"),
                         "\"absent\" is compared with the raw bits, before scale and offset");
    return;
  }
  signal.absent.push_back(pattern);
}

void ReadAbsent(const MappingReader& reader, unsigned bits, Draft& draft, Signal& signal) {
  const YamlNode* node = reader.Find("absent");
  if (node == nullptr) return;
  if (node->kind != YamlNode::Kind::kList) return ReadPattern(*node, bits, draft, signal);
  for (const YamlNode& item : node->children) ReadPattern(item, bits, draft, signal);
}

// "7" or "1..3".
bool ReadStateKey(const YamlNode& node, Draft& draft, StateName& state) {
  const std::size_t dots = node.key.find("..");
  const auto first =
      ReadInt64(node.key.substr(0, dots), node.key_mark, "a raw value", draft.reporter);
  if (!first) return false;
  state.first = state.last = *first;
  if (dots == std::string::npos) return true;
  const auto last =
      ReadInt64(node.key.substr(dots + 2), node.key_mark, "a raw value", draft.reporter);
  if (!last) return false;
  state.last = *last;
  if (state.first <= state.last) return true;
  draft.reporter.Error(node.key_mark, "the range " + node.key + " contains nothing",
                       "the lower limit comes first");
  return false;
}

// The name, which stands alone or with a meaning: {name: deployed, means: set}. Null: reported.
const YamlNode* ReadStateName(const YamlNode& node, Draft& draft, StateName& state) {
  if (node.kind != YamlNode::Kind::kMapping) {
    state.name = node.text;
    return &node;
  }
  const MappingReader reader(node, kStateRule, "a state", draft.reporter);
  const auto name = reader.Text("name");
  if (!name) return nullptr;
  state.name = *name;
  if (reader.Find("means") != nullptr) {
    state.means = MeaningOfWord(reader.Choice("means").value_or(""));
  }
  return reader.Find("name");
}

bool CheckState(const YamlNode& node, const YamlNode& key, unsigned bits, const Signal& signal,
                const StateName& state, Draft& draft) {
  if (node.kind != YamlNode::Kind::kText || !IsName(node.text)) {
    draft.reporter.Error(node.mark, "\"" + node.text + "\" cannot be the name of a state",
                         "use letters, digits and _, for example not_ready");
    return false;
  }
  if (IsFormulaWord(node.text)) {
    draft.reporter.Error(node.mark, "\"" + node.text + "\" is a word of formulas",
                         "choose another name for the state");
    return false;
  }
  const RawLimits limits = LimitsOf(bits, signal.encoding);
  if (state.first < limits.low || state.last > limits.high) {
    draft.reporter.Error(key.key_mark, "state " + key.key + " does not fit " + CountOf(bits, "bit"),
                         "possible raw values are " + Show(limits));
    return false;
  }
  for (const StateName& other : signal.states) {
    if (state.first > other.last || state.last < other.first) continue;
    draft.reporter.Error(key.key_mark,
                         "state " + key.key + " is already part of \"" + other.name + "\"",
                         "every raw value has one name at most");
    return false;
  }
  return true;
}

// Where each of signal.states stands.
std::vector<Mark> ReadStates(const MappingReader& reader, unsigned bits, Draft& draft,
                             Signal& signal) {
  std::vector<Mark> marks;
  const YamlNode* node = reader.Find("states");
  if (node == nullptr) return marks;
  if (node->kind != YamlNode::Kind::kMapping || node->children.empty()) {
    draft.reporter.Error(node->mark, "\"states\" must name raw values",
                         "write for example states: {0: off, 1..3: on}");
    return marks;
  }
  if (signal.encoding == Encoding::kFloat32 || signal.encoding == Encoding::kFloat64) {
    draft.reporter.Error(node->mark, "a floating-point number has no states", "remove the states");
    return marks;
  }
  for (const YamlNode& child : node->children) {
    StateName state;
    if (!ReadStateKey(child, draft, state)) continue;
    const YamlNode* name = ReadStateName(child, draft, state);
    if (name == nullptr || !CheckState(*name, child, bits, signal, state, draft)) continue;
    signal.states.push_back(state);
    marks.push_back(child.mark);
  }
  return marks;
}

std::string Shown(const StateName& state) {
  const std::string first = std::to_string(state.first);
  return state.first == state.last ? first : first + ".." + std::to_string(state.last);
}

// Checks judge by what states mean. What they cannot understand they do not judge, so the author is
// told before.
void CheckMeanings(const MappingReader& reader, const std::vector<Mark>& marks,
                   const Signal& signal, Draft& draft) {
  const auto possible = MeaningsOf(signal.role);
  if (!possible.empty() && signal.states.empty() && !MayBeNumbers(signal.role)) {
    draft.reporter.Warn(reader.MarkOf("role"),
                        "the checks cannot tell what the values of " + signal.name + " mean",
                        "write its states: with " + MeaningChoices(signal.role));
  }
  for (std::size_t i = 0; i < signal.states.size(); ++i) {
    const StateName& state = signal.states[i];
    const bool said = state.means != Meaning::kNotUnderstood;
    const bool fits = state.means == Meaning::kUnknown ||
                      std::find(possible.begin(), possible.end(), state.means) != possible.end();
    if (said && !fits) {
      draft.reporter.Error(marks[i],
                           "\"" + std::string(MeaningName(state.means)) +
                               "\" is nothing that the role \"" + signal.role + "\" can mean",
                           possible.empty() ? "no check asks for states of this role: remove means"
                                            : "possible: " + MeaningChoices(signal.role));
    }
    if (said || possible.empty()) continue;
    if (MeaningOfName(signal.role, state.name) != Meaning::kNotUnderstood) continue;
    draft.reporter.Warn(marks[i],
                        "the checks do not understand the state \"" + state.name + "\" of a " +
                            signal.role + " and will not judge by it",
                        "write " + Shown(state) + ": {name: " + state.name + ", means: ...} with " +
                            MeaningChoices(signal.role));
  }
}

void ReadScale(const MappingReader& reader, Signal& signal) {
  signal.scale = reader.Number("scale").value_or(1);
  signal.offset = reader.Number("offset").value_or(0);
  if (signal.scale == 0) {
    reader.Error(reader.MarkOf("scale"), "a scale of 0 makes every value the same",
                 "value = raw * scale + offset");
    signal.scale = 1;
  }
}

// A range no raw value can reach, or can leave, is a sign of a wrong scale.
void CheckRange(const MappingReader& reader, unsigned bits, const Signal& signal) {
  if (!signal.range || bits == 0) return;
  if (signal.encoding != Encoding::kUnsigned && signal.encoding != Encoding::kSigned) return;
  const RawLimits raw = LimitsOf(bits, signal.encoding);
  double low = static_cast<double>(raw.low) * signal.scale + signal.offset;
  double high = static_cast<double>(raw.high) * signal.scale + signal.offset;
  if (low > high) std::swap(low, high);
  if (signal.range->high >= low && signal.range->low <= high) return;
  reader.Error(reader.MarkOf("range"), "no raw value can be in this range",
               CountOf(bits, "bit") + " with this scale and offset give " + FormatDouble(low) +
                   ".." + FormatDouble(high));
}

void ReadValidWhen(const MappingReader& reader, Draft& draft, Signal& signal) {
  if (reader.Find("valid when") == nullptr) return;
  signal.valid_when = reader.ConditionOf("valid when");
  if (signal.valid_when) {
    draft.formulas.push_back({.node = reader.Find("valid when"), .gate = true});
  }
}

// Whole bytes, first character first, whatever the byte order of numbers is.
std::optional<Location> ParseTextPlace(std::string_view text, TextProblem& problem) {
  const auto bytes = ParseBytes(text, problem);
  if (!bytes) return std::nullopt;
  Location location;
  for (unsigned byte = bytes->first; byte <= bytes->last; ++byte) {
    location.pieces.push_back({static_cast<std::uint8_t>(byte), 0, 8});
  }
  return location;
}

void CheckTextKeys(const MappingReader& reader) {
  for (const char* key :
       {"signed", "scale", "offset", "unit", "range", "absent", "states", "positive"}) {
    if (reader.Find(key) == nullptr) continue;
    reader.Error(reader.MarkOf(key), "text has no \"" + std::string(key) + "\"", "remove it");
  }
}

}  // namespace

bool IsText(const MappingReader& reader) {
  const YamlNode* type = reader.Find("type");
  return type != nullptr && type->text == "text";
}

std::optional<Location> ReadWhere(const MappingReader& reader, const Draft& draft) {
  const auto text = reader.Text("where");
  if (!text) return std::nullopt;
  TextProblem problem;
  auto location =
      IsText(reader) ? ParseTextPlace(*text, problem) : ParseWhere(*text, draft.order, problem);
  if (!location) reader.Report(*reader.Find("where"), problem);
  return location;
}

// Standards say insulation and isolation of the same resistance: both are read.
std::string RoleText(const MappingReader& reader) {
  std::string role = reader.Text("role").value_or("");
  return role == "insulation resistance" ? "isolation resistance" : role;
}

void CheckRole(const MappingReader& reader, const Signal& signal, Draft& draft) {
  if (signal.role.empty() || IsRole(signal.role)) return;
  std::vector<std::string> names;
  for (const Role& role : AllRoles()) names.emplace_back(role.name);
  const std::string nearest = NearestName(signal.role, names);
  draft.reporter.Warn(reader.MarkOf("role"), "no check looks for the role \"" + signal.role + "\"",
                      nearest.empty() ? "the known roles are listed in docs/definitions.md"
                                      : "did you mean \"" + nearest + "\"?");
}

void ReadValueKeys(const MappingReader& reader, unsigned bits, Draft& draft, Signal& signal) {
  signal.encoding = ReadEncoding(reader, bits);
  if (signal.encoding == Encoding::kText) {
    CheckTextKeys(reader);
    ReadValidWhen(reader, draft, signal);
    signal.role = RoleText(reader);
    return CheckRole(reader, signal, draft);
  }
  ReadScale(reader, signal);
  signal.unit = reader.Text("unit").value_or("");
  signal.range = reader.RangeOf("range");
  CheckRange(reader, bits, signal);
  ReadAbsent(reader, bits, draft, signal);
  const std::vector<Mark> marks = ReadStates(reader, bits, draft, signal);
  ReadValidWhen(reader, draft, signal);
  signal.role = RoleText(reader);
  CheckRole(reader, signal, draft);
  CheckMeanings(reader, marks, signal, draft);
  if (reader.Find("positive") != nullptr) signal.positive = reader.Choice("positive").value_or("");
  if (signal.role == "pack current" && reader.Find("positive") == nullptr) {
    reader.Error(reader.MarkOf("role"), "the pack current does not say what a positive value means",
                 "add positive: discharge or positive: charge");
  }
}

}  // namespace proofdrive::decoders
