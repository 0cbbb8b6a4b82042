#include "decoders/language/section_readers.h"

#include <algorithm>
#include <utility>

#include "core/base/text.h"
#include "decoders/formula/formula.h"
#include "decoders/language/frame_reader.h"
#include "decoders/language/signal_reader.h"

namespace proofdrive::decoders {
namespace {

void ReadBus(const YamlNode& node, Draft& draft) {
  const MappingReader keys(node, kBusRule, "bus \"" + node.key + "\"", draft.reporter);
  Bus bus;
  bus.name = node.key;
  bus.bitrate = static_cast<std::uint32_t>(keys.Integer("bitrate", 1000, 1'000'000).value_or(0));
  bus.data_bitrate =
      static_cast<std::uint32_t>(keys.Integer("data bitrate", 1000, 8'000'000).value_or(0));
  const auto known = draft.buses.find(node.key);
  if (known == draft.buses.end()) {
    if (draft.TakeName(draft.buses, "bus", node)) draft.definitions.buses.push_back(bus);
    return;
  }
  // Several files may describe the same network, as long as they agree.
  auto& buses = draft.definitions.buses;
  const auto first = std::find_if(buses.begin(), buses.end(),
                                  [&](const Bus& other) { return other.name == bus.name; });
  if (first->bitrate == bus.bitrate && first->data_bitrate == bus.data_bitrate) return;
  draft.reporter.Error(
      node.key_mark, "bus \"" + bus.name + "\" has other bit rates here",
      "the first one is at " + draft.reporter.Show(known->second) + "; make them equal");
}

std::uint32_t ReadAddress(const MappingReader& keys, const char* key, bool extended) {
  const auto id = keys.Integer(key, 0, kMaxExtendedId);
  if (!id) return 0;
  if (!extended && *id > kMaxBaseId) {
    keys.Error(keys.MarkOf(key),
               "\"" + std::string(key) + "\" is more than an 11-bit identifier " + "can be (0x7FF)",
               "add extended: yes if it has 29 bits");
  }
  return static_cast<std::uint32_t>(*id);
}

std::optional<std::uint8_t> ReadAddressByte(const MappingReader& keys, std::string_view key) {
  const auto byte = keys.Integer(key, 0, 0xFF);
  return byte ? std::optional(static_cast<std::uint8_t>(*byte)) : std::nullopt;
}

void ReadAddressBytes(const MappingReader& keys, ControlUnit& unit) {
  unit.address_byte = ReadAddressByte(keys, "address byte");
  unit.answer_byte = ReadAddressByte(keys, "answer byte");
  const bool to = keys.Find("address byte") != nullptr;
  if (to == (keys.Find("answer byte") != nullptr)) return;
  keys.Error(keys.MarkOf(to ? "address byte" : "answer byte"),
             std::string("\"") + (to ? "answer byte" : "address byte") + "\" is missing",
             "with extended addressing frames have a byte before the length in both directions");
}

void ReadControlUnit(const YamlNode& node, Draft& draft) {
  const MappingReader keys(node, kControlUnitRule, "control unit \"" + node.key + "\"",
                           draft.reporter);
  ControlUnit unit;
  unit.name = node.key;
  unit.place = draft.reporter.PlaceOf(node.key_mark);
  unit.bus = ReadBusName(keys, draft);
  unit.extended = keys.YesNo("extended");
  unit.request = ReadAddress(keys, "request", unit.extended);
  unit.answer = ReadAddress(keys, "answer", unit.extended);
  unit.fd = keys.YesNo("fd");
  ReadAddressBytes(keys, unit);
  if (keys.Find("request") != nullptr && keys.Find("answer") != nullptr &&
      unit.request == unit.answer) {
    keys.Error(keys.MarkOf("answer"), "request and answer have the same identifier",
               "a control unit answers with an identifier of its own");
  }
  if (!draft.TakeName(draft.control_units, "control unit", node)) return;
  draft.definitions.control_units.push_back(std::move(unit));
}

std::string ReadUnitName(const MappingReader& keys, Draft& draft) {
  const auto name = keys.Text("from");
  if (!name || draft.control_units.contains(*name)) return name.value_or("");
  std::vector<std::string> names;
  for (const auto& [unit, mark] : draft.control_units) names.push_back(unit);
  const std::string nearest = NearestName(*name, names);
  keys.Error(keys.MarkOf("from"), "there is no control unit \"" + *name + "\"",
             nearest.empty() ? "add it to control units: with its request and answer identifiers"
                             : "did you mean \"" + nearest + "\"?");
  return {};
}

void ReadReading(const YamlNode& node, Draft& draft) {
  const MappingReader keys(node, kReadingRule, "reading \"" + node.key + "\"", draft.reporter);
  Signal signal;
  signal.name = node.key;
  signal.place = draft.reporter.PlaceOf(node.key_mark);
  signal.known_from = keys.KnownFromOr(draft.known_from);
  const auto where = ReadWhere(keys, draft);
  if (where) signal.location = *where;
  ReadValueKeys(keys, where ? where->bits() : 0, draft, signal);
  Reading reading;
  reading.control_unit = ReadUnitName(keys, draft);
  reading.identifier =
      static_cast<std::uint16_t>(keys.Integer("identifier", 0, 0xFFFF).value_or(0));
  reading.every = std::chrono::seconds(1);
  if (const auto every = keys.Time("every")) reading.every = *every;
  if (reading.every < std::chrono::milliseconds(100)) {
    keys.Error(keys.MarkOf("every"), "asking more often than every 100 ms is not allowed",
               "write for example every: 1 s");
  }
  if (!draft.TakeName(draft.signals, "signal", node)) return;
  reading.signal = static_cast<std::uint32_t>(draft.definitions.signals.size());
  draft.definitions.signals.push_back(std::move(signal));
  draft.definitions.readings.push_back(std::move(reading));
}

void ReadComputedSignal(const YamlNode& node, Draft& draft) {
  const MappingReader keys(node, kComputedRule, "computed signal \"" + node.key + "\"",
                           draft.reporter);
  Signal signal;
  signal.name = node.key;
  signal.place = draft.reporter.PlaceOf(node.key_mark);
  // Arithmetic the author wrote down is as sure as its inputs, which CheckComputed adds.
  signal.known_from = keys.KnownFromOr(KnownFrom::kDocument);
  signal.unit = keys.Text("unit").value_or("");
  signal.range = keys.RangeOf("range");
  signal.role = keys.Text("role").value_or("");
  CheckRole(keys, signal, draft);
  const auto formula = keys.ConditionOf("formula");
  if (!draft.TakeName(draft.signals, "signal", node) || !formula) return;
  auto& definitions = draft.definitions;
  draft.formulas.push_back({.node = keys.Find("formula"),
                            .computed = static_cast<std::uint32_t>(definitions.computed.size())});
  definitions.computed.push_back(
      {static_cast<std::uint32_t>(definitions.signals.size()), *formula});
  definitions.signals.push_back(std::move(signal));
}

WarningSeverity ReadSeverity(const MappingReader& keys) {
  const auto severity = keys.Choice("severity");
  if (severity == "stop") return WarningSeverity::kStop;
  if (severity == "soon") return WarningSeverity::kSoon;
  return WarningSeverity::kNote;
}

void ReadProvenBy(const YamlNode& node, Draft& draft, Warning& warning) {
  const MappingReader keys(node, kProvenByRule, "\"proven by\"", draft.reporter);
  const auto condition = keys.ConditionOf("condition");
  if (!condition) return;
  draft.formulas.push_back({.node = keys.Find("condition")});
  warning.proven_by = ProvenBy{*condition, keys.Time("for").value_or(Duration(0))};
  warning.proven_by->times =
      static_cast<std::uint32_t>(keys.Integer("times", 1, 1'000'000).value_or(1));
}

void ReadWarning(const YamlNode& node, Draft& draft) {
  const MappingReader keys(node, kWarningRule, "warning \"" + node.key + "\"", draft.reporter);
  Warning warning;
  warning.name = node.key;
  warning.place = draft.reporter.PlaceOf(node.key_mark);
  warning.known_from = keys.KnownFromOr(draft.known_from);
  warning.text = keys.Text("text").value_or("");
  warning.set_after = keys.Time("on after").value_or(Duration(0));
  warning.clear_after = keys.Time("off after").value_or(Duration(0));
  warning.severity = ReadSeverity(keys);
  if (const auto when = keys.ConditionOf("when")) {
    warning.when = *when;
    draft.formulas.push_back({.node = keys.Find("when")});
  }
  if (auto only_while = keys.ConditionOf("only while")) {
    warning.only_while = std::move(*only_while);
    draft.formulas.push_back({.node = keys.Find("only while")});
  }
  if (const YamlNode* proven = keys.Find("proven by")) ReadProvenBy(*proven, draft, warning);
  if (!draft.TakeName(draft.warnings, "warning", node)) return;
  draft.definitions.warnings.push_back(std::move(warning));
}

// A computed signal may use those before it, so that no circle is possible.
void CheckComputed(const PendingFormula& pending, const Formula& formula, Draft& draft) {
  auto& signals = draft.definitions.signals;
  const std::uint32_t own = draft.definitions.computed[pending.computed].signal;
  for (const FormulaInput& input : formula.inputs()) {
    if (input.signal < own) {
      KnownFrom& known_from = signals[own].known_from;
      known_from = Weaker(known_from, signals[input.signal].known_from);
      continue;
    }
    if (input.signal == own) {
      draft.reporter.Error(pending.node->mark, "a computed signal cannot use itself");
    } else {
      draft.reporter.Error(pending.node->mark,
                           "uses \"" + signals[input.signal].name + "\", which is computed later",
                           "put what is used first");
    }
    return;
  }
}

// Whether a sent value is valid must be known before anything is computed from it.
void CheckGate(const PendingFormula& pending, const Formula& formula, Draft& draft) {
  for (const FormulaInput& input : formula.inputs()) {
    const Signal& signal = draft.definitions.signals[input.signal];
    if (!signal.frame.empty()) continue;
    draft.reporter.Error(
        pending.node->mark,
        "\"valid when\" can use only signals of frames, and \"" + signal.name + "\" is none",
        "write out what it depends on");
    return;
  }
}

void CheckFormula(const PendingFormula& pending, Draft& draft) {
  const bool is_computed = pending.computed != PendingFormula::kNotComputed;
  TextProblem problem;
  const auto formula = Formula::Compile(
      pending.node->text, is_computed ? FormulaKind::kNumber : FormulaKind::kCondition,
      draft.definitions, problem);
  if (formula == nullptr) {
    draft.reporter.Error(pending.node->At(problem.at), problem.message, problem.hint);
  } else if (is_computed) {
    CheckComputed(pending, *formula, draft);
  } else if (pending.gate) {
    CheckGate(pending, *formula, draft);
  }
}

void ReadMembers(const MappingReader& file, std::string_view key,
                 void (*read)(const YamlNode&, Draft&), Draft& draft) {
  for (const YamlNode& node : file.Members(key)) {
    if (draft.reporter.full()) return;
    read(node, draft);
  }
}

}  // namespace

void ReadVehicle(const MappingReader& file, Draft& draft) {
  const auto vehicle = file.Text("vehicle");
  if (!vehicle) return;
  if (!draft.vehicle) {
    draft.vehicle = file.MarkOf("vehicle");
    draft.definitions.vehicle = *vehicle;
  } else if (draft.definitions.vehicle != *vehicle) {
    file.Error(file.MarkOf("vehicle"), "this file is about another vehicle",
               "\"" + draft.definitions.vehicle + "\" is at " +
                   draft.reporter.Show(*draft.vehicle) + "; use files of one vehicle together");
  }
}

void ReadBuses(const MappingReader& file, Draft& draft) {
  ReadMembers(file, "buses", ReadBus, draft);
}

void ReadControlUnits(const MappingReader& file, Draft& draft) {
  ReadMembers(file, "control units", ReadControlUnit, draft);
}

void ReadFrames(const MappingReader& file, Draft& draft) {
  ReadMembers(file, "frames", ReadFrame, draft);
}

void ReadReadings(const MappingReader& file, Draft& draft) {
  ReadMembers(file, "readings", ReadReading, draft);
}

void ReadComputed(const MappingReader& file, Draft& draft) {
  ReadMembers(file, "computed", ReadComputedSignal, draft);
}

void ReadWarnings(const MappingReader& file, Draft& draft) {
  ReadMembers(file, "warnings", ReadWarning, draft);
}

void CheckFormulas(Draft& draft) {
  for (const PendingFormula& pending : draft.formulas) {
    if (draft.reporter.full()) return;
    CheckFormula(pending, draft);
  }
}

}  // namespace proofdrive::decoders
