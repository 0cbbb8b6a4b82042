#include "analysis/survey/protection/selector_search.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>

namespace proofdrive::analysis::survey {
namespace {

constexpr double kLeastRatio = 0.15;
constexpr double kLeastRatioMany = 0.05;
constexpr std::size_t kManyPages = 8;
constexpr std::size_t kManyRounds = 40;
constexpr double kLeastAlike = 0.6;
constexpr std::size_t kLeastRounds = 12;  // three in each quarter

struct Candidate {
  std::size_t byte = 0;
  unsigned lowest = 0;
  unsigned bits = 8;
  unsigned ValueOf(ByteSpan payload) const {
    return (payload[byte] >> lowest) & ((1U << bits) - 1U);
  }
};

// The values of a candidate: 0.. in order of first appearance.
struct Pages {
  std::vector<std::uint32_t> of_row;
  std::size_t count = 0;
};

Pages PagesOf(const PayloadRows& rows, const Candidate& candidate) {
  std::map<unsigned, std::uint32_t> numbers;
  Pages pages;
  for (std::size_t row = 0; row < rows.size(); ++row) {
    const unsigned value = candidate.ValueOf(rows.row(row));
    const auto next = static_cast<std::uint32_t>(numbers.size());
    pages.of_row.push_back(numbers.emplace(value, next).first->second);
  }
  pages.count = numbers.size();
  return pages;
}

// Changes with at least half of the frames, to a value that the one before foretells in nine of
// ten.
bool GoesRound(const Pages& pages, const std::vector<std::uint32_t>& pairs) {
  std::map<std::pair<std::uint32_t, std::uint32_t>, std::size_t> steps;
  std::size_t changes = 0;
  for (const std::uint32_t pair : pairs) {
    ++steps[{pages.of_row[pair], pages.of_row[pair + 1]}];
    changes += pages.of_row[pair] != pages.of_row[pair + 1] ? 1U : 0U;
  }
  std::vector<std::size_t> likeliest(pages.count, 0);
  for (const auto& [step, count] : steps) {
    likeliest[step.first] = std::max(likeliest[step.first], count);
  }
  std::size_t foretold = 0;
  for (const std::size_t count : likeliest) foretold += count;
  return 2 * changes >= pairs.size() && 10 * foretold >= 9 * pairs.size();
}

// Whether a page mostly comes again only when the others have been: a counter with a bit or two of
// something else beside it comes again sooner.
bool VisitsAll(const Pages& pages) {
  std::vector<std::size_t> last(pages.count, 0);
  std::vector<std::size_t> distances;
  for (std::size_t row = 0; row < pages.of_row.size(); ++row) {
    std::size_t& before = last[pages.of_row[row]];
    if (before != 0) distances.push_back(row + 1 - before);
    before = row + 1;
  }
  if (distances.empty()) return false;
  const auto middle = distances.begin() + static_cast<std::ptrdiff_t>(distances.size() / 2);
  std::nth_element(distances.begin(), middle, distances.end());
  return 10 * *middle >= 7 * pages.count;
}

// Values without their trend, summed by page, in four quarters of the rows.
struct Profiles {
  double ratio = 0;  // correlation ratio of all
  double alike = 0;  // least correlation of a quarter's means with those of the other quarters
};

constexpr std::size_t kQuarters = 4;

double Correlation(const std::vector<double>& a, const std::vector<double>& b) {
  const auto n = static_cast<double>(a.size());
  double sa = 0, sb = 0, saa = 0, sbb = 0, sab = 0;
  for (std::size_t i = 0; i < a.size(); ++i) {
    sa += a[i], sb += b[i], saa += a[i] * a[i], sbb += b[i] * b[i], sab += a[i] * b[i];
  }
  const double va = saa - sa * sa / n;
  const double vb = sbb - sb * sb / n;
  return va > 0 && vb > 0 ? (sab - sa * sb / n) / std::sqrt(va * vb) : 0;
}

// The second worst quarter: one may hold the start of the car, where everything jumps.
double LikenessOf(const std::vector<std::vector<double>>& quarters) {
  std::vector<double> likeness;
  for (std::size_t quarter = 0; quarter < kQuarters; ++quarter) {
    std::vector<double> others(quarters[0].size(), 0);
    for (std::size_t other = 0; other < kQuarters; ++other) {
      for (std::size_t i = 0; other != quarter && i < others.size(); ++i) {
        others[i] += quarters[other][i];
      }
    }
    likeness.push_back(Correlation(quarters[quarter], others));
  }
  std::sort(likeness.begin(), likeness.end());
  return likeness[1];
}

// Each value less the mean of the round around it: a slow change leaves nothing.
std::vector<double> WithoutTrend(const std::vector<double>& values, std::size_t round) {
  std::vector<double> sums(values.size() + 1, 0);
  for (std::size_t i = 0; i < values.size(); ++i) sums[i + 1] = sums[i] + values[i];
  std::vector<double> rest(values.size(), 0);
  const std::size_t before = round / 2;
  for (std::size_t i = before; i + round - before <= values.size(); ++i) {
    const std::size_t from = i - before;
    rest[i] = values[i] - (sums[from + round] - sums[from]) / static_cast<double>(round);
  }
  return rest;
}

Profiles ProfilesOf(const std::vector<double>& values, const Pages& pages) {
  const std::size_t round = pages.count;
  std::vector<std::vector<double>> sums(kQuarters, std::vector<double>(round, 0));
  std::vector<double> counts(round, 0);
  const std::vector<double> rest = WithoutTrend(values, round);
  double total = 0;
  const auto rows = static_cast<double>(rest.size());
  for (std::size_t i = 0; i < rest.size(); ++i) {
    sums[i * kQuarters / rest.size()][pages.of_row[i]] += rest[i];
    ++counts[pages.of_row[i]];
    total += rest[i] * rest[i];
  }
  Profiles profiles;
  const double free = rows - static_cast<double>(round);
  if (total <= 0 || free <= 0) return profiles;
  double between = 0;
  for (std::size_t i = 0; i < round; ++i) {
    double sum = 0;
    for (const auto& quarter : sums) sum += quarter[i];
    if (counts[i] > 0) between += sum * sum / counts[i];
  }
  const double within = (total - between) / free;
  profiles.ratio = (between - static_cast<double>(round - 1) * within) / total;
  profiles.alike = LikenessOf(sums);
  return profiles;
}

// A byte that depends on the page jumps there and back in every round, and does the same all the
// time. A value that happens to step once in a round does not.
bool DependsOn(const std::vector<double>& values, const Pages& pages) {
  std::size_t changes = 0;
  for (std::size_t row = 1; row < values.size(); ++row) {
    changes += values[row] != values[row - 1] ? 1U : 0U;
  }
  if (2 * changes * pages.count < 3 * values.size()) return false;
  const Profiles profiles = ProfilesOf(values, pages);
  // The corrected ratio of noise has about this standard deviation.
  const double chance = std::sqrt(2.0 * static_cast<double>(pages.count)) /
                        static_cast<double>(std::max<std::size_t>(1, values.size()));
  const bool many = pages.count >= kManyPages;
  return profiles.ratio > std::max(4 * chance, many ? kLeastRatioMany : kLeastRatio) &&
         profiles.alike > kLeastAlike;
}

// Whether a page always has the same value: an echo of the selector, or a check of it.
bool IsDetermined(const std::vector<double>& values, const Pages& pages) {
  std::vector<std::map<double, std::size_t>> counts(pages.count);
  for (std::size_t row = 0; row < values.size(); ++row) ++counts[pages.of_row[row]][values[row]];
  std::size_t usual = 0;
  for (const auto& page : counts) {
    std::size_t most = 0;
    for (const auto& [value, count] : page) most = std::max(most, count);
    usual += most;
  }
  return 20 * usual >= 19 * values.size();
}

// How many bytes depend on the candidate; those that are settled by it count for a third.
double Dependents(const PayloadRows& rows, const Candidate& candidate, const Pages& pages,
                  const BitSet& taken, const BitCounts& flips) {
  double dependents = 0;
  for (std::size_t byte = 0; byte < rows.stride; ++byte) {
    if (byte == candidate.byte) continue;
    const auto open = static_cast<std::uint8_t>(~taken.mask(byte));
    bool changes = false;
    for (std::size_t bit = 0; bit < 8; ++bit) {
      changes = changes || (((open >> bit) & 1U) != 0 && flips[8 * byte + bit] > 0);
    }
    if (!changes) continue;
    std::vector<double> values;
    values.reserve(rows.size());
    for (std::size_t row = 0; row < rows.size(); ++row) {
      values.push_back(static_cast<double>(rows.row(row)[byte] & open));
    }
    if (!DependsOn(values, pages)) continue;
    dependents += IsDetermined(values, pages) ? 1.0 / 3 : 1;
  }
  return dependents;
}

std::vector<Candidate> Candidates(const PayloadRows& rows, const BitSet& taken) {
  std::vector<Candidate> candidates;
  for (std::size_t byte = 0; byte < rows.stride; ++byte) {
    for (const Candidate& one :
         {Candidate{byte, 0, 8}, Candidate{byte, 4, 4}, Candidate{byte, 0, 4}}) {
      const unsigned mask = ((1U << one.bits) - 1U) << one.lowest;
      if ((taken.mask(byte) & mask) == 0) candidates.push_back(one);
    }
  }
  return candidates;
}

}  // namespace

std::optional<decoders::Location> FindSelector(const PayloadRows& rows, const BitSet& taken,
                                               const BitCounts& flips) {
  const std::vector<std::uint32_t> pairs = Pairs(rows);
  std::optional<decoders::Location> best;
  double most = 0.99;
  for (const Candidate& candidate : Candidates(rows, taken)) {
    std::uint32_t moving = 0;
    for (unsigned bit = 0; bit < candidate.bits; ++bit) {
      moving += flips[8 * candidate.byte + candidate.lowest + bit];
    }
    if (2 * moving < pairs.size()) continue;
    const Pages pages = PagesOf(rows, candidate);
    if (pages.count < 2 || rows.size() < kLeastRounds * pages.count) continue;
    if (!GoesRound(pages, pairs) || !VisitsAll(pages)) continue;
    const double dependents = Dependents(rows, candidate, pages, taken, flips);
    // In few rounds something that comes again by itself looks like a page.
    if (dependents < 2 && rows.size() < kManyRounds * pages.count) continue;
    if (dependents <= most) continue;
    most = dependents;
    best = decoders::Location{
        {{static_cast<std::uint8_t>(candidate.byte), static_cast<std::uint8_t>(candidate.lowest),
          static_cast<std::uint8_t>(candidate.bits)}}};
  }
  return best;
}

}  // namespace proofdrive::analysis::survey
