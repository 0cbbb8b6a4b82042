#include "tests/fleet_bars/bars.h"

#include <cstdlib>
#include <span>

#include "core/base/text.h"
#include "tests/fleet/measure/binomial.h"

namespace proofdrive::fleet {
namespace {

struct Today {
  std::string_view name;
  double share;
};
struct TodayRange {
  std::string_view name;
  Range range;
};

// Bars that are not met yet stand here at the rates of docs/fleet.md; a row goes when its bar is
// met.
constexpr double kMostOutside = 0.005, kMostAlarmed = 0.05;
constexpr TodayRange kCoverageToday[] = {
    {"capacity/capacity", {0.93, 1}},          {"cooling/flow_index", {0.85, 1}},
    {"insulation/resistance", {0.93, 1}},      {"range/charge_by_voltage", {0.93, 1}},
    {"resistance/pack_resistance", {0.93, 1}}, {"resistance/link_resistance", {0.92, 0.97}}};
constexpr Today kFoundToday[] = {
    {"signals-jumps", 0.9},      {"cooling-air", 0.85},     {"cooling-blocked", 0.6},
    {"cooling-dry", 0.7},        {"cooling-hot-spot", 0.9}, {"insulation-falls", 0.9},
    {"contactors-contact", 0.9}, {"balance-sense", 0.9},    {"resistance-cell", 0.9},
    {"resistance-joint", 0.9},   {"capacity-lost", 0.5},    {"range-charge", 0.9},
    {"definitions-cold", 0.85},  {"definitions-link", 0.9}};
constexpr Today kCalledWithinToday[] = {
    {"signals-jumps", 0.1},       {"signals-sign", 0.1},         {"cooling-air", 0.1},
    {"cooling-blocked", 0.15},    {"cooling-dry", 0.1},          {"cooling-hot-spot", 0.1},
    {"cooling-spread", 0.1},      {"cooling-self-heating", 0.1}, {"insulation-falls", 0.1},
    {"interlock-crash", 0.1},     {"contactors-contact", 0.1},   {"resistance-cell", 0.1},
    {"balance-low-cell", 0.1},    {"balance-sense", 0.1},        {"resistance-joint", 0.1},
    {"range-charge", 0.1},        {"definitions-cold", 0.15},    {"definitions-inlet", 0.1},
    {"definitions-current", 0.1}, {"definitions-link", 0.1}};

template <class Row>
const Row* Find(std::span<const Row> rows, std::string_view name) {
  for (const Row& row : rows) {
    if (row.name == name) return &row;
  }
  return nullptr;
}

double ShareOf(std::span<const Today> rows, std::string_view name, double wanted) {
  const Today* row = Find(rows, name);
  return row == nullptr ? wanted : row->share;
}

std::string Broken(std::string_view what, std::size_t hits, std::size_t count, double bar,
                   const char* side) {
  return std::string(what) + ": " + std::to_string(hits) + " of " + std::to_string(count) +
         ", wanted " + side + " " + FormatDouble(100 * bar) + " %";
}

}  // namespace

std::string BrokenAbove(std::string_view what, std::size_t hits, std::size_t count, double most) {
  if (ChanceOfAtLeast(hits, count, most) >= kChance) return "";
  return Broken(what, hits, count, most, "at most");
}

std::string BrokenBelow(std::string_view what, std::size_t hits, std::size_t count, double least) {
  if (ChanceOfAtMost(hits, count, least) >= kChance) return "";
  return Broken(what, hits, count, least, "at least");
}

double MostOutside() { return kMostOutside; }
double MostAlarmed() { return kMostAlarmed; }

double LeastWithin() { return 0.80; }

Range Coverage(std::string_view figure) {
  const TodayRange* row = Find(std::span<const TodayRange>(kCoverageToday), figure);
  return row == nullptr ? Range{0.93, 0.97} : row->range;
}

double LeastFound(std::string_view fault) { return ShareOf(kFoundToday, fault, 0.95); }

// Never, is wanted.
double MostWithin(std::string_view fault) { return ShareOf(kCalledWithinToday, fault, 0); }

std::uint64_t SeedOfTheRun() {
  const char* set = std::getenv("PROOFDRIVE_FLEET_SEED");
  return set == nullptr ? 20261128 : std::strtoull(set, nullptr, 10);
}

}  // namespace proofdrive::fleet
