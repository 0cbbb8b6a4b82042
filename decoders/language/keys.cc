#include "decoders/language/keys.h"

#include "core/base/text.h"
#include "decoders/model/checksums.h"
#include "decoders/model/meanings.h"

namespace proofdrive::decoders {
namespace {

using enum KeyType;

constexpr std::string_view kKnownFromWords = "guess | survey | reading | measurement | document";

// The inner one counts.
constexpr KeyRule KnownFromKey(std::string_view meaning) {
  return {"known from", kChoice, false, meaning, "document", nullptr, kKnownFromWords};
}

constexpr KeyRule kBusKeys[] = {
    {"bitrate", kInteger, false, "bits per second", "500000"},
    {"data bitrate", kInteger, false, "bits per second of the fast part of CAN FD frames",
     "2000000"},
};

constexpr KeyRule kCounterKeys[] = {
    {"where", kLocation, true, "bits of the counter", "byte 6 bits 0-3"},
    {"counts to", kInteger, false,
     "last value before it starts again at 0; all bits set if left out", "14"},
};

constexpr KeyRule kChecksumKeys[] = {
    {"where", kLocation, true, "bits of the checksum", "byte 7"},
    {"kind", kChoice, true, "how it is calculated", "crc-8-sae-j1850", nullptr, kChecksumNames},
    {"over", kBytes, false, "bytes it covers, itself left out; all bytes of `length` if left out",
     "bytes 0-6"},
    {"polynomial", kInteger, false, "of crc-8, without its highest bit", "0x1D"},
    {"start", kInteger, false, "value that crc-8 starts with; 0 if left out", "0xFF"},
    {"final xor", kInteger, false, "what crc-8 is combined with at the end; 0 if left out", "0xFF"},
    {"data id", kInteger, false,
     "of e2e-profile-1 and e2e-profile-5: a number that is calculated with, but not sent",
     "0x0123"},
    {"data id mode", kChoice, false,
     "of e2e-profile-1: which bytes of the data id count; both if left out", "alternating", nullptr,
     "both | alternating | low | nibble"},
    {"data id nibble", kLocation, false,
     "of mode nibble: where bits 8-11 of the data id are sent; byte 1 bits 4-7 if left out",
     "byte 1 bits 4-7"},
    {"data ids", kIntegers, false, "of e2e-profile-2: 16 numbers, one for each counter value",
     "[0x10, 0x25, ...]"},
};

constexpr KeyRule kPageSelectKeys[] = {
    {"where", kLocation, true, "bits that hold the number of the page", "byte 0"},
};

constexpr KeyRule kSignalKeys[] = {
    {"where", kLocation, true, "its bits, most significant piece first", "bytes 2-3"},
    {"signed", kYesNo, false, "yes: two's complement", "yes"},
    {"type", kChoice, false, "IEEE 754 number, or text in whole bytes, instead of an integer",
     "float32", nullptr, "integer | float32 | float64 | text"},
    {"scale", kNumber, false, "value = raw * scale + offset; 1 if left out", "0.1"},
    {"offset", kNumber, false, "value = raw * scale + offset; 0 if left out", "-40"},
    {"unit", kText, false, "unit of the value", "degC"},
    {"range", kRange, false, "values outside are marked \"out of range\"", "-40..120"},
    {"absent", kPatterns, false, "raw patterns that mean \"no value\"", "0xFFF"},
    {"states", kStates, false, "names of raw values or ranges of them", "{0: off, 1..3: on}"},
    {"valid when", kCondition, false, "the value counts as absent unless this holds",
     "ignition == run"},
    {"role", kText, false, "what it is physically, for the checks", "pack voltage"},
    {"positive", kChoice, false, "what a positive current does", "discharge", nullptr,
     "discharge | charge"},
    {"may overlap", kYesNo, false, "yes: may use bits that another signal uses", "yes"},
    KnownFromKey("how sure this is; as its frame says if left out"),
};

constexpr KeyRule kStateKeys[] = {
    {"name", kText, true, "name of the state", "deployed"},
    {"means", kChoice, false, "what it means for the role, where its name does not say it", "set",
     nullptr, kMeaningNames},
};

constexpr KeyRule kSeriesKeys[] = {
    {"first", kStart, true, "where the first element of a page starts", "byte 2"},
    {"each", kEach, true, "size of an element; elements follow each other", "2 bytes"},
    {"per page", kInteger, false, "elements in one frame; `count` if left out", "3"},
    {"count", kInteger, true, "elements of the whole series", "96"},
    {"first page", kInteger, false, "page that carries the first elements; 0 if left out", "1"},
    {"signed", kYesNo, false, "yes: two's complement", "yes"},
    {"type", kChoice, false, "IEEE 754 number, or text in whole bytes, instead of an integer",
     "float32", nullptr, "integer | float32 | float64 | text"},
    {"scale", kNumber, false, "value = raw * scale + offset; 1 if left out", "0.001"},
    {"offset", kNumber, false, "value = raw * scale + offset; 0 if left out", "-40"},
    {"unit", kText, false, "unit of the values", "V"},
    {"range", kRange, false, "values outside are marked \"out of range\"", "2.5..4.3"},
    {"absent", kPatterns, false, "raw patterns that mean \"no value\"", "0xFFFF"},
    {"states", kStates, false, "names of raw values or ranges of them", "{0: off, 1: on}"},
    {"valid when", kCondition, false, "the values count as absent unless this holds",
     "ignition == run"},
    {"role", kText, false, "what it is physically, for the checks", "cell voltages"},
    {"may overlap", kYesNo, false, "yes: may use bits that another signal uses", "yes"},
    KnownFromKey("how sure this is; as its frame says if left out"),
};

constexpr KeyRule kPageKeys[] = {
    {"signals", kNamedMappings, false, "signals that only this page carries", "", &kSignalRule},
    {"page", kMapping, false, "which page within this page a frame carries", "{where: byte 1}",
     &kPageSelectRule},
    {"pages", kPages, false, "signals that only some of those pages carry", "{1: {signals: ...}}",
     &kPageRule},
};

constexpr KeyRule kFrameKeys[] = {
    {"bus", kName, false, "bus it is on; any bus if left out", "pack"},
    {"id", kInteger, true, "identifier, up to 0x7FF, or 29 bits with `extended: yes`", "0x2A1"},
    {"mask", kInteger, false, "bits of `id` that must match; all if left out", "0x7F0"},
    {"moved to", kInteger, false,
     "its identifier since an update: recordings from before and after it are read", "0x2A3"},
    {"extended", kYesNo, false, "yes: a 29-bit identifier", "yes"},
    {"every", kDuration, false, "time from one frame to the next", "100 ms"},
    {"timeout", kDuration, false,
     "how long it may be silent until its values are not used; three times `every` if left out, or "
     "1 s",
     "500 ms"},
    {"length", kInteger, false, "bytes of data", "8"},
    {"page", kMapping, false, "which page of a long list this frame carries", "{where: byte 0}",
     &kPageSelectRule},
    {"signals", kNamedMappings, false, "values in every such frame", "", &kSignalRule},
    {"series", kNamedMappings, false, "long lists, sent in pages", "", &kSeriesRule},
    {"pages", kPages, false, "signals that only some pages carry", "{200: {signals: ...}}",
     &kPageRule},
    {"counter", kMapping, false, "counts up with every frame",
     "{where: byte 6 bits 0-3, counts to: 14}", &kCounterRule},
    {"checksum", kMapping, false, "protects the frame", "{where: byte 7, kind: crc-8-sae-j1850}",
     &kChecksumRule},
    KnownFromKey("how sure its signals are; as its file says if left out"),
};

constexpr KeyRule kControlUnitKeys[] = {
    {"bus", kName, false, "bus it is on; any bus if left out", "drive"},
    {"request", kInteger, true, "identifier of frames to it", "0x7E5"},
    {"answer", kInteger, true, "identifier of frames from it", "0x7ED"},
    {"extended", kYesNo, false, "yes: 29-bit identifiers", "yes"},
    {"address byte", kInteger, false,
     "extended addressing of ISO 15765-2: first byte of frames to it, before the length", "0x2C"},
    {"answer byte", kInteger, false, "the same of frames from it; with \"address byte\" only",
     "0x5B"},
    {"fd", kYesNo, false, "yes: it is asked in CAN FD frames", "yes"},
};

constexpr KeyRule kReadingKeys[] = {
    {"from", kName, true, "control unit that is asked", "pack_controller"},
    {"identifier", kInteger, true, "ISO 14229 data identifier that is asked for", "0xD1A4"},
    {"where", kLocation, true, "its bits in the data of the answer", "bytes 0-1"},
    {"every", kDuration, false, "how often to ask; 1 s if left out", "1 s"},
    {"signed", kYesNo, false, "yes: two's complement", "yes"},
    {"type", kChoice, false, "IEEE 754 number, or text in whole bytes, instead of an integer",
     "float32", nullptr, "integer | float32 | float64 | text"},
    {"scale", kNumber, false, "value = raw * scale + offset; 1 if left out", "0.1"},
    {"offset", kNumber, false, "value = raw * scale + offset; 0 if left out", "-40"},
    {"unit", kText, false, "unit of the value", "kohm"},
    {"range", kRange, false, "values outside are marked \"out of range\"", "0..5000"},
    {"absent", kPatterns, false, "raw patterns that mean \"no value\"", "0xFFFF"},
    {"states", kStates, false, "names of raw values or ranges of them", "{0: off, 1: on}"},
    {"role", kText, false, "what it is physically, for the checks", "isolation resistance"},
    {"positive", kChoice, false, "what a positive current does", "discharge", nullptr,
     "discharge | charge"},
    KnownFromKey("how sure this is; as its file says if left out"),
};

constexpr KeyRule kComputedKeys[] = {
    {"formula", kFormula, true, "calculated from other signals",
     "max(cell_voltage) - min(cell_voltage)"},
    {"unit", kText, false, "unit of the value", "V"},
    {"range", kRange, false, "values outside are marked \"out of range\"", "0..0.5"},
    {"role", kText, false, "what it is physically, for the checks", "cell spread"},
    KnownFromKey("how sure the formula is; at most as sure as what it uses"),
};

constexpr KeyRule kProvenByKeys[] = {
    {"condition", kCondition, true, "what a session must contain before \"off\" means cleared",
     "coolant_pump == high"},
    {"for", kDuration, false, "how long without a break; any time at all if left out", "60 s"},
    {"times", kInteger, false, "how often, each time for so long; once if left out", "3"},
};

constexpr KeyRule kWarningKeys[] = {
    {"text", kText, true, "what the driver would be told", "Coolant level low"},
    {"when", kCondition, true, "it is on while this holds", "coolant_level == low"},
    {"on after", kDuration, false, "`when` must hold this long first; 0 s if left out", "2 s",
     nullptr, "", "for"},
    {"off after", kDuration, false, "`when` must be over this long before it is off", "5 s",
     nullptr, "", "clear for"},
    {"only while", kCondition, false, "it is judged only while this holds, and else unknown",
     "ignition == run"},
    {"severity", kChoice, true, "what it asks the driver to do", "stop", nullptr,
     "stop | soon | note"},
    {"proven by", kMapping, false, "what a session must contain before \"off\" means cleared",
     "{condition: \"coolant_pump == high\", for: 60 s}", &kProvenByRule},
    KnownFromKey("how sure its conditions are; as its file says if left out"),
};

// Named as the settings of the checks are, so that one name serves both.
constexpr KeyRule kFactKeys[] = {
    {"pack.chemistry", kChoice, false, "of the cells", "nmc", nullptr, "nmc | lfp | unknown"},
    {"pack.curve", kText, false,
     "rested voltage of a cell against its charge: a published curve (nmc111, nmc532, nmc622, "
     "nmc811, "
     "nmc811-silicon, nca, lmo) or a table of percent and volt, \"0 2.80, 10 3.51, 50 3.72, 100 "
     "4.20\"",
     "nmc532"},
    {"pack.cells", kInteger, false,
     "number of cells in series; as many as cell voltages if left out", "96"},
    {"pack.cell_most", kNumber, false, "highest voltage of a cell, in V; 4.2 if left out", "4.2"},
    {"pack.working_voltage", kNumber, false,
     "highest working voltage as the maker states it, in V; cells times pack.cell_most if left out",
     "403.2"},
    {"pack.capacity", kNumber, false, "capacity when new, in Ah", "107"},
    {"pack.usable_energy", kNumber, false, "energy between 0 and 100 % shown, in kWh", "38"},
    {"pack.heat_capacity", kNumber, false, "heat the pack takes up per kelvin, in kJ/K", "195"},
    {"precharge.resistor", kNumber, false, "resistor of the pre-charge circuit, in ohm", "50"},
    {"cooling.pump_index", kNumber, false, "pump power at 1000 rpm with a full loop, in W", "0.98"},
    {"cooling.pump_speed", kNumber, false, "speed at which cooling.pump_index was taken, in 1/min",
     "4500"},
    {"cooling.flow_index", kNumber, false, "flow at 1000 rpm with a full loop, in L/min", "2.2"},
    {"cooling.sensor_volume", kNumber, false,
     "coolant between the sensors at inlet and outlet of the pack, in L", "3"},
};

constexpr KeyRule kFileKeys[] = {
    {"vehicle", kText, false, "name of the vehicle", "Bramble Seven (invented)"},
    {"facts", kMapping, false, "what is known of the vehicle, for the checks",
     "{pack.chemistry: nmc, pack.capacity: 107}", &kFactsRule},
    {"include", kTextOrList, false, "other files to read, seen from the folder of this one",
     "common.yaml"},
    {"byte order", kChoice, false, "which byte comes first in \"bytes 2-3\" of this file", "big",
     nullptr, "big | little"},
    KnownFromKey("how sure everything in this file is; guess if left out"),
    {"buses", kNamedMappings, false, "the CAN networks", "{pack: {bitrate: 500000}}", &kBusRule},
    {"frames", kNamedMappings, false, "what is sent", "", &kFrameRule},
    {"control units", kNamedMappings, false, "what answers requests", "", &kControlUnitRule},
    {"readings", kNamedMappings, false, "values that are asked for, only when requests are allowed",
     "", &kReadingRule},
    {"computed", kNamedMappings, false, "values calculated from others", "", &kComputedRule},
    {"warnings", kNamedMappings, false, "conditions that must not hold", "", &kWarningRule},
};

}  // namespace

const MappingRule kFileRule{"a definition file", kFileKeys};
const MappingRule kFactsRule{"\"facts\"", kFactKeys};
const MappingRule kBusRule{"a bus", kBusKeys};
const MappingRule kFrameRule{"a frame", kFrameKeys};
const MappingRule kPageSelectRule{"a page number", kPageSelectKeys};
const MappingRule kPageRule{"a page", kPageKeys};
const MappingRule kSignalRule{"a signal", kSignalKeys};
const MappingRule kSeriesRule{"a series", kSeriesKeys};
const MappingRule kStateRule{"a state", kStateKeys};
const MappingRule kCounterRule{"a counter", kCounterKeys};
const MappingRule kChecksumRule{"a checksum", kChecksumKeys};
const MappingRule kControlUnitRule{"a control unit", kControlUnitKeys};
const MappingRule kReadingRule{"a reading", kReadingKeys};
const MappingRule kComputedRule{"a computed signal", kComputedKeys};
const MappingRule kWarningRule{"a warning", kWarningKeys};
const MappingRule kProvenByRule{"\"proven by\"", kProvenByKeys};

std::span<const MappingRule* const> AllMappingRules() {
  static constexpr const MappingRule* kAll[] = {
      &kFileRule,    &kFactsRule,    &kBusRule,      &kFrameRule,
      &kSignalRule,  &kStateRule,    &kSeriesRule,   &kPageSelectRule,
      &kPageRule,    &kCounterRule,  &kChecksumRule, &kControlUnitRule,
      &kReadingRule, &kComputedRule, &kWarningRule,  &kProvenByRule,
  };
  return kAll;
}

std::string_view KeyTypeName(KeyType type) {
  switch (type) {
    case kText:
      return "text";
    case kName:
      return "name";
    case kYesNo:
      return "yes or no";
    case kNumber:
      return "number";
    case kInteger:
      return "whole number";
    case kDuration:
      return "duration";
    case kRange:
      return "range";
    case kChoice:
      return "choice";
    case kLocation:
      return "location";
    case kStart:
      return "byte";
    case kEach:
      return "size";
    case kBytes:
      return "bytes";
    case kPatterns:
      return "whole number or list";
    case kIntegers:
      return "list of whole numbers";
    case kStates:
      return "states";
    case kFormula:
      return "formula";
    case kCondition:
      return "condition";
    case kTextOrList:
      return "text or list";
    case kMapping:
      return "keys";
    case kNamedMappings:
      return "names with keys";
    case kPages:
      return "page numbers with keys";
  }
  return "text";
}

const KeyRule* MappingRule::Find(std::string_view key) const {
  for (const KeyRule& rule : keys) {
    if (rule.name == key || (!rule.formerly.empty() && rule.formerly == key)) return &rule;
  }
  return nullptr;
}

std::vector<std::string> MappingRule::Names() const {
  std::vector<std::string> names;
  for (const KeyRule& rule : keys) names.emplace_back(rule.name);
  return names;
}

std::vector<std::string> ChoicesOf(const KeyRule& rule) {
  std::vector<std::string> choices;
  if (rule.choices == kChecksumNames) {
    for (const Checksum& checksum : AllChecksums()) choices.emplace_back(checksum.name);
    return choices;
  }
  if (rule.choices == kMeaningNames) {
    for (const std::string_view name : MeaningNames()) choices.emplace_back(name);
    return choices;
  }
  for (const std::string& choice : Split(rule.choices, '|')) choices.emplace_back(Trim(choice));
  return choices;
}

}  // namespace proofdrive::decoders
