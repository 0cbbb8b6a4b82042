#include "analysis/checking/settings.h"

#include <cassert>
#include <vector>

#include "core/base/text.h"

namespace proofdrive::analysis {
namespace {

constexpr std::string_view kChemistry = "pack.chemistry";
constexpr std::string_view kCurve = "pack.curve";
constexpr std::string_view kOwn = "default of this tool";
constexpr Mark kP = Mark::kProposal;

constexpr SettingRow kRows[] = {
    // Facts about the car; 0 = not known.
    {"pack.cells", 0, "", kP, kOwn, "cells in series; 0: as many as cell voltages are sent"},
    {"pack.cell_most", 4.2, "V", Mark::kFromMemory, "4.2 V NMC and NCA, 3.65 V LFP",
     "highest voltage of a cell"},
    {"pack.working_voltage", 0, "V", kP, kOwn,
     "highest working voltage as the maker states it; 0: cells x pack.cell_most"},
    {"pack.capacity", 0, "Ah", kP, kOwn, "capacity when new"},
    {"pack.usable_energy", 0, "kWh", kP, kOwn, "energy between 0 and 100 % shown"},
    {"pack.heat_capacity", 0, "kJ/K", kP, kOwn, "heat the pack takes up per kelvin"},
    {"precharge.resistor", 0, "ohm", kP, kOwn, "of the pre-charge circuit"},
    {"cooling.sensor_volume", 0, "L", kP, kOwn, "coolant between the sensors at inlet and outlet"},
    // Common conditions.
    {"rest.current", 3, "A", kP, kOwn, "at rest below this current"},
    {"rest.before", 0, "h", kP, kOwn, "how long the car had stood before the recording"},
    {"rest.hours", 1, "h", Mark::kPublished,
     "pulse power test method; ISO 12405 asks 0.5 h; longer when cold", "a rest that counts"},
    // 1 insulation
    {"insulation.fault", 100, "ohm/V", Mark::kPublished,
     "UN R100 5.1.3.1 and ISO 6469-4:2015, direct current", "below: outside limits"},
    {"insulation.warn", 500, "ohm/V", Mark::kPublished,
     "UN R100 5.1.3.2, direct and alternating current joined", "below: look closer"},
    {"insulation.accuracy", 15, "%", kP, kOwn, "of the monitor; nearer to a limit is too close"},
    {"insulation.settle", 30, "s", kP, kOwn, "left out after anything switches"},
    {"insulation.trend", 5, "%", kP, kOwn, "change over the recording that counts as a trend"},
    // 2 cell balance
    {"balance.note", 10, "mV", kP, kOwn, "spread worth a note"},
    {"balance.look", 30, "mV", kP, "default of this tool; service texts use 20 - 50 mV (memory)",
     "spread at rest to look closer at"},
    {"balance.most", 100, "mV", kP, "default of this tool; service texts use 100 mV (memory)",
     "spread at rest outside limits"},
    {"balance.floor", 5, "mV", kP, kOwn, "a cell nearer to the median is never an outlier"},
    {"balance.charge", 3, "%", kP, kOwn, "less charge of the weakest cell than the median has"},
    {"balance.slope", 4, "mV/%", kP, kOwn, "flatter: millivolts are not turned into charge"},
    {"balance.over", 0.05, "V", Mark::kFromMemory,
     "full: 4.20 - 4.25 and 3.60 - 3.65 V (data sheets, looked up); alarms 4.25 - 4.30, 3.75 V",
     "above the full cell: look closer; twice that: outside limits"},
    {"balance.empty", 2.5, "V", Mark::kPublished,
     "ends of discharge of published cells, nickel and manganese: 2.5 - 2.8 V",
     "a cell below: look closer; 0.5 V below (memory): outside limits"},
    {"balance.empty_iron", 2, "V", Mark::kPublished,
     "ends of discharge of published cells, iron phosphate: 2.0 V",
     "the same; also where the chemistry is not known"},
    {"balance.weak", 100, "mV", kP, kOwn,
     "a cell further below the median under load, besides what its resistance may explain"},
    {"balance.cold_rate", 0.3, "", kP,
     "default of this tool; cars allow 0.05 - 0.2 of the capacity an hour (from memory)",
     "of pack.capacity an hour: quicker is too quick below 0 degC"},
    {"balance.sum", 1, "%", kP, kOwn, "sum of cells against pack voltage"},
    // 3 internal resistance
    {"resistance.step", 20, "A", kP, "default of this tool; 0.2 C when pack.capacity is known",
     "smallest change of current used"},
    {"resistance.cell_look", 30, "%", kP, kOwn, "a cell above the median to look closer at"},
    {"resistance.cell_most", 60, "%", kP, kOwn, "a cell above the median outside limits"},
    {"resistance.link", 30, "%", kP, kOwn, "links and joints against the sum of the cells"},
    // 4 capacity and energy
    {"capacity.swing", 30, "%", kP, kOwn, "smallest change of charge that gives a capacity"},
    {"capacity.look", 80, "%", kP, kOwn, "of pack.capacity: below, look closer"},
    {"capacity.least", 70, "%", kP, kOwn, "of pack.capacity: below, outside limits"},
    // 5 cooling
    {"cooling.pump_index", 0, "W", kP, kOwn, "pump power at 1000 rpm, full loop; 0: not known"},
    {"cooling.pump_speed", 0, "rpm", kP, kOwn,
     "speed at which cooling.pump_index was taken; 0: not known"},
    {"cooling.flow_index", 0, "L/min", kP, kOwn, "flow at 1000 rpm, full loop; 0: not known"},
    {"cooling.dry", 0.5, "", kP, kOwn, "power against a full loop: below, dry or air-locked"},
    {"cooling.weak", 0.9, "", kP, kOwn, "power against a full loop: below, air or restriction"},
    {"cooling.heavy", 1.2, "", kP, kOwn, "power against a full loop: above, drag"},
    {"cooling.fluctuation", 10, "%", kP, kOwn, "variation of pump power that means air"},
    {"cooling.rise", 2, "K", kP, "default of this tool; two sensors of 0.5 K each",
     "smallest outlet less inlet used for a flow"},
    {"cooling.flow", 0.6, "", kP, kOwn, "implied flow against expected: below, look closer"},
    {"cooling.spread", 5, "K", Mark::kPublished,
     "battery thermal management articles: below 5 K across a pack", "spread of cell temperatures"},
    {"cooling.hot", 1.5, "K", kP, kOwn, "one sensor above the median"},
    {"cooling.self_heating", 1, "K", kP, kOwn, "rise of one sensor against the rest, no current"},
    {"cooling.hottest", 55, "degC", Mark::kFromMemory,
     "packs reduce power from 45 - 50, stop at 55 - 60, open contactors at 60 - 70 degC",
     "a cell above: look closer; 5 K more: outside limits"},
    // 6 pre-charge and contactors
    {"precharge.close", 95, "%", Mark::kPublished,
     "usual closing threshold, pre-charge design notes",
     "of pack voltage when the main contactor closes: said beside the answer"},
    {"precharge.least", 90, "%", Mark::kPublished, "student racing electric rules EV.5.6.1",
     "of pack voltage: below, outside limits"},
    {"precharge.longest", 2, "s", Mark::kPublished, "allowed windows of 0.5 - 2 s, design notes",
     "of one pre-charge"},
    {"precharge.bleed_v", 60, "V", Mark::kPublished, "ISO 6469-4:2015",
     "voltage the circuit falls to after opening"},
    {"precharge.bleed_s", 10, "s", Mark::kPublished, "ISO 6469-4:2015, after a crash",
     "time to fall there"},
    {"precharge.passive_s", 360, "s", kP,
     "default of this tool; passive discharge takes 1 - 5 min (from memory), and a fifth more",
     "time to fall there in everyday use"},
    {"contactor.ohm", 5, "mohm", kP,
     "default of this tool; two contactors 0.6 mohm new (data sheet), fuse and cable up to 4",
     "from the pack's voltage to the link's, contactors closed"},
    // 7 supply
    {"supply.sag", 9, "V", Mark::kFromMemory, "ISO 16750-2 code C: units work from 9 to 16 V",
     "lowest voltage"},
    {"supply.awake", 11, "V", kP, kOwn, "awake: below, warnings may come from the supply"},
    {"supply.empty", 11.6, "V", kP,
     "default of this tool; 11.89 V is empty at rest (battery makers' table), 0.3 V for what runs",
     "awake without the converter: below for a minute, the battery is empty or weak"},
    {"supply.charging", 13, "V", kP, kOwn, "converter working: below, it charges nothing"},
    {"supply.economy", 12, "V", kP,
     "default of this tool; economy modes hold 12.2 - 13.2 V (from memory)",
     "below although the converter says on: it does not support"},
    {"supply.high", 15.8, "V", kP,
     "default of this tool; charging in the cold reaches 15.5 V (from memory), readings are 2 % "
     "off",
     "above: look closer"},
    {"supply.most", 16, "V", Mark::kFromMemory, "ISO 16750-2 code C: units work from 9 to 16 V",
     "above: over-voltage"},
    // 8 standby
    {"standby.hours", 6, "h", kP, kOwn, "shortest pause that gives a loss"},
    {"standby.look", 3, "%/day", kP,
     "default of this tool; trade figures 0.1 - 1 %/day, there is no standard",
     "to look closer at"},
    // 9 zero range
    {"range.charge", 10, "%", kP, kOwn, "state of charge above which a range of 0 is odd"},
    {"range.disagree", 8, "%", kP, kOwn, "charge shown against another way to know it"},
    // definitions against each other
    {"definitions.voltage", 2, "%", kP, "default of this tool; voltage sensors 0.2 - 1 % (memory)",
     "cells, pack and link against each other at rest; more is a wrong scale"},
    {"definitions.count", 2.5, "", kP, "default of this tool; half of the capacity may be lost",
     "factor by which current over time counts less than is shown; more is a wrong scale"},
    {"definitions.more", 1.5, "", kP, "default of this tool; cold and warmth move what is shown",
     "factor by which current over time counts more than is shown; more is a wrong scale"},
    {"definitions.distance", 15, "%", kP, "default of this tool; a mile is 61 % more",
     "speed over time above the odometer, speeds against each other"},
    {"definitions.slow", 8, "%", kP, "default of this tool; speed may be shown too fast (memory)",
     "speed over time below the odometer"},
    {"definitions.temperature", 10, "K", kP, kOwn,
     "neighbours after an hour of rest, half as much again for pack and coolant after three"},
    // 10 interlock and crash
    {"interlock.gap", 5, "s", kP, kOwn, "silence that ends a chain of events"},
};

const SettingRow* Find(std::string_view name) {
  for (const SettingRow& row : kRows) {
    if (row.name == name) return &row;
  }
  return nullptr;
}

Status UnknownSetting(const std::string& name) {
  std::vector<std::string> names = {std::string(kChemistry), std::string(kCurve)};
  for (const SettingRow& row : kRows) names.emplace_back(row.name);
  const std::string nearest = NearestName(name, names);
  return Status(ErrorKind::kInvalidArgument,
                "there is no setting \"" + name + "\"" +
                    (nearest.empty() ? "; docs/checks.md lists them"
                                     : "; did you mean \"" + nearest + "\"?"));
}

}  // namespace

std::span<const SettingRow> AllSettings() { return kRows; }

Status CheckSettings::Set(std::string_view assignment) {
  const std::size_t equals = assignment.find('=');
  if (equals == std::string_view::npos) {
    return Status(ErrorKind::kInvalidArgument, "\"" + std::string(assignment) +
                                                   "\" is no setting; write NAME=VALUE, for "
                                                   "example pack.capacity=107");
  }
  const std::string name(Trim(assignment.substr(0, equals)));
  const std::string_view value = Trim(assignment.substr(equals + 1));
  if (name == kChemistry) {
    const auto chemistry = ChemistryOf(value);
    if (!chemistry) {
      return Status(ErrorKind::kInvalidArgument,
                    "pack.chemistry is nmc, lfp or unknown, not \"" + std::string(value) + "\"");
    }
    chemistry_ = *chemistry;
    return Status::Ok();
  }
  if (name == kCurve) {
    curve_ = CurveOfText(value);
    if (curve_) return Status::Ok();
    return Status(
        ErrorKind::kInvalidArgument,
        "pack.curve is a published curve (nmc111, nmc532, nmc622, nmc811, nmc811-silicon, "
        "nca, lmo) or a table such as \"0 2.80, 10 3.51, 50 3.72, 100 4.20\" (percent and "
        "volt, rising), not \"" +
            std::string(value) + "\"");
  }
  if (Find(name) == nullptr) return UnknownSetting(name);
  const Result<double> number = ParseDouble(value);
  if (!number.ok()) return number.status().WithContext(name);
  if (*number < 0) {
    return Status(ErrorKind::kInvalidArgument, name + " must not be negative");
  }
  set_[name] = {*number, false};
  return Status::Ok();
}

void CheckSettings::AddFacts(std::span<const decoders::Fact> facts) {
  for (const decoders::Fact& fact : facts) {
    if (fact.name == kChemistry) {
      if (!chemistry_) chemistry_ = ChemistryOf(fact.value);
      continue;
    }
    if (fact.name == kCurve) {
      if (curve_) continue;
      curve_ = CurveOfText(fact.value);
      if (!curve_) wrong_curve_ = fact.value;
      continue;
    }
    const Result<double> number = ParseDouble(fact.value);
    assert(Find(fact.name) != nullptr && number.ok());
    if (number.ok()) set_.try_emplace(fact.name, Own{*number, true});
  }
}

double CheckSettings::Get(std::string_view name) const {
  const auto own = set_.find(std::string(name));
  if (own != set_.end()) return own->second.value;
  const SettingRow* row = Find(name);
  assert(row != nullptr);
  return row == nullptr ? 0 : row->value;
}

UsedLimit CheckSettings::Limit(std::string_view name) const {
  const SettingRow* row = Find(name);
  assert(row != nullptr);
  UsedLimit limit;
  limit.name = name;
  limit.value = Get(name);
  if (row == nullptr) return limit;
  limit.unit = row->unit;
  limit.mark = row->mark;
  limit.source = row->source;
  const auto own = set_.find(std::string(name));
  if (own == set_.end()) return limit;
  limit.mark = Mark::kUser;
  limit.source = own->second.from_definitions ? "facts of the definition files"
                 : row->value == 0            ? "with --set"
                                              : "default " + FormatDouble(row->value);
  return limit;
}

}  // namespace proofdrive::analysis
