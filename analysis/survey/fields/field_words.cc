#include "analysis/survey/fields/field_words.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstdio>
#include <map>
#include <set>

#include "decoders/language/where_parser.h"

namespace proofdrive::analysis::survey {
namespace {

constexpr std::size_t kNarrowestSigned = 5;
constexpr std::size_t kLeastDifferent = 8;  // values that a sign is judged by,
constexpr std::size_t kOftenOver = 10;      // or as many steps over the top
constexpr std::size_t kMostStates = 16;
constexpr std::size_t kMostListed = 8;
constexpr double kClockFit = 0.9999;

struct Crossings {
  std::size_t up = 0;  // over the top: from near the top to near 0
  std::size_t down = 0;
  std::size_t middle = 0;  // by a small step between just below and just above half
  std::size_t wild = 0;    // steps that are not small
};

// All bits set mostly means "no value", unless other values near the top are there, too, or the
// number goes to it and back again and again.
Crossings CountCrossings(const std::vector<std::uint64_t>& values,
                         const std::vector<std::uint32_t>& pairs, std::size_t width,
                         bool count_all_ones) {
  Crossings crossings;
  const std::uint64_t all = (std::uint64_t{1} << width) - 1;
  const std::uint64_t quarter = std::uint64_t{1} << (width - 2);
  const std::uint64_t half = 2 * quarter;
  for (const std::uint32_t pair : pairs) {
    const std::uint64_t from = values[pair];
    const std::uint64_t to = values[pair + 1];
    if (from == to || (!count_all_ones && (from == all || to == all))) continue;
    const std::uint64_t step = std::min((to - from) & all, (from - to) & all);
    if (step >= quarter) {
      ++crossings.wild;
      continue;
    }
    if (from >= half + quarter && to < quarter) ++crossings.up;
    if (from < quarter && to >= half + quarter) ++crossings.down;
    if ((from < half) != (to < half) && from >= quarter && to >= quarter && from < half + quarter &&
        to < half + quarter) {
      ++crossings.middle;
    }
  }
  return crossings;
}

// How often all bits are set and other values are near that, too.
bool AllOnesIsANumber(const std::vector<std::uint64_t>& values,
                      const std::vector<std::uint32_t>& pairs, std::size_t width) {
  constexpr std::size_t kOften = 10;
  const std::uint64_t all = (std::uint64_t{1} << width) - 1;
  std::size_t visits = 0;
  std::size_t near = 0;
  for (const std::uint32_t pair : pairs) {
    visits += values[pair] != all && values[pair + 1] == all ? 1U : 0U;
    near +=
        values[pair] < all && values[pair] > all - std::max<std::uint64_t>(all / 16, 2) ? 1U : 0U;
  }
  return near > 0 || visits >= kOften;
}

// Whether the values only go up, but for going round, and fit a line over the time of their frames.
bool IsClock(const std::vector<std::uint64_t>& values, const PayloadRows& rows,
             const std::vector<std::uint32_t>& pairs, std::uint64_t modulus) {
  double value = 0;
  double n = 0, st = 0, sv = 0, stt = 0, svv = 0, stv = 0;
  const double start = rows.times.front();
  for (const std::uint32_t pair : pairs) {
    const std::uint64_t step = (values[pair + 1] + modulus - values[pair]) % modulus;
    if (step > modulus / 2) return false;
    value += static_cast<double>(step);
    const double time = rows.times[pair + 1] - start;
    n += 1, st += time, sv += value, stt += time * time, svv += value * value, stv += time * value;
  }
  const double vt = stt - st * st / n;
  const double vv = svv - sv * sv / n;
  const double cov = stv - st * sv / n;
  return vt > 0 && vv > 0 && cov * cov > kClockFit * vt * vv;
}

struct Dwell {
  std::map<std::uint64_t, std::size_t> rows;  // by value; at most kMostStates + 1 of them
  std::size_t changes = 0;
};

Dwell DwellOf(const std::vector<std::uint64_t>& values, const std::vector<std::uint32_t>& pairs) {
  Dwell dwell;
  for (const std::uint64_t value : values) {
    if (dwell.rows.size() <= kMostStates || dwell.rows.count(value) != 0) ++dwell.rows[value];
  }
  for (const std::uint32_t pair : pairs)
    dwell.changes += values[pair] != values[pair + 1] ? 1U : 0U;
  return dwell;
}

FieldKind KindOf(const std::vector<std::uint64_t>& values, const PayloadRows& rows,
                 const std::vector<std::uint32_t>& pairs, std::size_t width, const Dwell& dwell) {
  if (width == 1) return FieldKind::kFlag;
  const bool rare = 20 * dwell.changes <= pairs.size() || dwell.rows.size() <= 4;
  if (width <= 4 && rare) return FieldKind::kState;
  if (dwell.rows.size() > kMostStates && rows.starts.empty() && dwell.changes >= 20 &&
      IsClock(values, rows, pairs, std::uint64_t{1} << width)) {
    return FieldKind::kClock;
  }
  return FieldKind::kNumber;
}

std::string Number(double value) {
  char text[32];
  std::snprintf(text, sizeof(text), "%.0f", value);
  return text;
}

std::string ListStates(const Dwell& dwell, std::size_t rows) {
  std::string text;
  for (const auto& [value, count] : dwell.rows) {
    if (!text.empty()) text += ", ";
    const double share = 100.0 * static_cast<double>(count) / static_cast<double>(rows);
    text += std::to_string(value) + (share < 1 ? " (under 1 %)" : " (" + Number(share) + " %)");
  }
  return text;
}

// Constant bits that may belong to the field: upward to the border of a byte.
std::size_t PossibleBits(const Run& run, const BitLine& line, const BitSet& changed,
                         const BitSet& taken) {
  std::size_t first = run.first;
  while (first % 8 != 0) {
    const BitPlace place = line.PlaceOf(first - 1);
    if (changed.Has(place.byte, place.bit) || taken.Has(place.byte, place.bit)) break;
    --first;
  }
  return run.end() - first;
}

std::string WhyOf(const Field& field, const Dwell& dwell, std::size_t rows) {
  std::string why =
      std::to_string(dwell.changes) + " changes in " + std::to_string(rows) + " frames";
  if (dwell.rows.size() <= kMostListed) {
    why += "; values " + ListStates(dwell, rows);
  } else if (field.cost_ahead > 0) {
    why += "; read as one number its steps take " + Number(field.cost_ahead) +
           " bits less to describe than in the next best way";
  }
  return why;
}

std::string SettleOf(const Field& field) {
  if (field.kind == FieldKind::kFlag || field.kind == FieldKind::kState) {
    if (field.changes < 10) return "make it change five times, 5 s apart, with a mark each time";
    return "";
  }
  if (field.cost_ahead < 20) return "a recording in which this changes more";
  if (!field.is_signed && field.kind == FieldKind::kNumber) {
    return "a recording in which it goes through zero, if it can";
  }
  return "";
}

bool HasDifferent(const std::vector<std::uint64_t>& values, std::size_t least) {
  std::set<std::uint64_t> different;
  for (const std::uint64_t value : values) {
    different.insert(value);
    if (different.size() >= least) return true;
  }
  return false;
}

}  // namespace

std::optional<bool> SignOf(const std::vector<std::uint64_t>& values,
                           const std::vector<std::uint32_t>& pairs, std::size_t width) {
  if (width < kNarrowestSigned) return std::nullopt;
  const Crossings seen =
      CountCrossings(values, pairs, width, AllOnesIsANumber(values, pairs, width));
  const std::size_t over = seen.up + seen.down;
  if (over < kOftenOver && !HasDifferent(values, kLeastDifferent)) return std::nullopt;
  if (over >= 2 && seen.up > 0 && seen.down > 0 && 4 * seen.wild < over &&
      5 * seen.middle <= over) {
    return true;
  }
  if (seen.middle >= 2 && over < seen.middle) return false;
  if (over >= 2 && (seen.up == 0 || seen.down == 0)) return false;
  return std::nullopt;
}

Field DescribeField(const CutField& cut, const BitLine& line, const PayloadRows& rows,
                    const BitSet& changed, const BitSet& taken) {
  const std::vector<std::uint64_t> values = ValuesOf(line, cut.run, rows.bytes);
  const std::vector<std::uint32_t> pairs = Pairs(rows);
  const Dwell dwell = DwellOf(values, pairs);
  const std::size_t possible = PossibleBits(cut.run, line, changed, taken);
  Field field;
  field.location = line.LocationOf({cut.run.end() - possible, possible});
  field.certain_bits = static_cast<unsigned>(cut.run.width);
  field.changes = dwell.changes;
  field.cost_ahead = cut.ahead;
  if (cut.run.first / 8 != cut.run.last() / 8) field.order = line.order();
  field.kind = KindOf(values, rows, pairs, cut.run.width, dwell);
  if (field.kind == FieldKind::kNumber) {
    field.is_signed = SignOf(values, pairs, cut.run.width);
    if (field.is_signed == true) field.location = line.LocationOf(cut.run);
  } else {
    field.is_signed = false;
  }
  field.why = WhyOf(field, dwell, rows.size());
  if (cut.rival) field.runner_up = decoders::FormatLocation(line.LocationOf(*cut.rival));
  field.settle = SettleOf(field);
  return field;
}

}  // namespace proofdrive::analysis::survey
