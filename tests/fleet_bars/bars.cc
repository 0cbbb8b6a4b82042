#include "tests/fleet_bars/bars.h"

#include <cstdlib>
#include <vector>

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
constexpr double kOutsideToday = 0.02, kAlarmedToday = 0.10;
const std::vector<Today>& WithinToday() {
  static const std::vector<Today> rows = {
      {"capacity", 0}, {"contactors", 0.5}, {"resistance", 0.55}};
  return rows;
}
const std::vector<TodayRange>& CoverageToday() {
  static const std::vector<TodayRange> rows = {};
  return rows;
}
const std::vector<Today>& FoundToday() {
  static const std::vector<Today> rows = {};
  return rows;
}
const std::vector<Today>& CalledWithinToday() {
  static const std::vector<Today> rows = {};
  return rows;
}

template <class Row>
const Row* Find(const std::vector<Row>& rows, std::string_view name) {
  for (const Row& row : rows) {
    if (row.name == name) return &row;
  }
  return nullptr;
}

double ShareOf(const std::vector<Today>& rows, std::string_view name, double wanted) {
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

double MostOutside() { return kOutsideToday; }
double MostAlarmed() { return kAlarmedToday; }

double LeastWithin(std::string_view check) { return ShareOf(WithinToday(), check, 0.80); }

Range Coverage(std::string_view figure) {
  const TodayRange* row = Find(CoverageToday(), figure);
  return row == nullptr ? Range{0.93, 0.97} : row->range;
}

double LeastFound(std::string_view fault) { return ShareOf(FoundToday(), fault, 0.95); }

// Never, is wanted.
double MostWithin(std::string_view fault) { return ShareOf(CalledWithinToday(), fault, 0); }

std::uint64_t SeedOfTheDay() {
  const char* set = std::getenv("PROOFDRIVE_FLEET_SEED");
  return set == nullptr ? 1 : std::strtoull(set, nullptr, 10);
}

}  // namespace proofdrive::fleet
