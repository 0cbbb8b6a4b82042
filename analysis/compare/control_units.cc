#include "analysis/compare/control_units.h"

#include <algorithm>
#include <tuple>

#include "analysis/compare/channels.h"

namespace proofdrive::analysis {
namespace {

using decoders::UnitReport;

constexpr std::uint16_t kActiveSession = 0xF186;

UnitPlace PlaceOf(const UnitReport& report) {
  return {report.channel, report.answer, report.request};
}

void AddInstalled(const UnitReport* report, bool after, UnitComparison& unit) {
  if (report == nullptr) return;
  for (const auto& [identifier, data] : report->identification) {
    if (identifier == kActiveSession) continue;
    auto item =
        std::find_if(unit.installed.begin(), unit.installed.end(),
                     [wanted = identifier](const auto& one) { return one.identifier == wanted; });
    if (item == unit.installed.end()) {
      item = unit.installed.insert(unit.installed.end(), InstalledItem{identifier, {}, {}});
    }
    (after ? item->after : item->before) = data;
  }
}

}  // namespace

std::vector<PairedUnit> PairUnits(const SessionFindings& before, const SessionFindings& after) {
  std::map<int, std::uint8_t> after_of;  // channel of `before` -> channel of `after`
  std::map<std::uint8_t, int> before_of = MatchChannels(before, after);
  for (const auto& [now, old] : before_of) after_of[old] = now;
  std::map<std::tuple<int, decoders::BusAddress>, PairedUnit> pairs;  // by channel of `before`
  for (const UnitReport& report : before.asked.units) {
    PairedUnit& pair = pairs[{report.channel, report.answer}];
    pair.old = &report;
    pair.name = report.name;
    pair.answer = report.answer;
    pair.bus = ChannelLabel(before.header, report.channel);
    pair.before = PlaceOf(report);
    const auto channel = after_of.find(report.channel);
    if (channel != after_of.end()) {
      pair.after = pair.before;
      pair.after.channel = channel->second;
    }
  }
  for (const UnitReport& report : after.asked.units) {
    const auto channel = before_of.find(report.channel);
    const int old = channel == before_of.end() ? kNoChannel + report.channel : channel->second;
    PairedUnit& pair = pairs[{old, report.answer}];
    pair.now = &report;
    if (!report.name.empty()) pair.name = report.name;
    pair.answer = report.answer;
    pair.bus = ChannelLabel(after.header, report.channel);
    pair.after = PlaceOf(report);
    if (pair.old == nullptr && old < kNoChannel) {
      pair.before = pair.after;
      pair.before.channel = static_cast<std::uint8_t>(old);
    }
  }
  std::vector<PairedUnit> list;
  for (auto& [key, pair] : pairs) list.push_back(std::move(pair));
  return list;
}

bool UnitComparison::Changed() const {
  return std::any_of(installed.begin(), installed.end(),
                     [](const InstalledItem& item) { return item.Changed(); });
}

bool UnitComparison::Comparable() const {
  return std::any_of(installed.begin(), installed.end(),
                     [](const InstalledItem& item) { return item.before && item.after; });
}

std::vector<UnitComparison> CompareUnits(const SessionFindings& before,
                                         const SessionFindings& after) {
  std::vector<UnitComparison> units;
  for (const PairedUnit& pair : PairUnits(before, after)) {
    UnitComparison unit;
    unit.unit = UnitName(pair.name, pair.answer);
    unit.bus = pair.bus;
    unit.answer = pair.answer;
    unit.answered_before = pair.old != nullptr;
    unit.answered_after = pair.now != nullptr;
    AddInstalled(pair.old, false, unit);
    AddInstalled(pair.now, true, unit);
    std::sort(unit.installed.begin(), unit.installed.end(),
              [](const auto& a, const auto& b) { return a.identifier < b.identifier; });
    units.push_back(std::move(unit));
  }
  return units;
}

std::string UnitName(const std::string& name, decoders::BusAddress answer) {
  if (!name.empty()) return name;
  return "unit at " +
         FormatId(answer.id, answer.extended ? std::uint8_t{kExtendedId} : std::uint8_t{0});
}

}  // namespace proofdrive::analysis
