#include "analysis/checks/parts/cell_resistance.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <optional>

#include "analysis/checking/input.h"
#include "analysis/checks/parts/load_terms.h"
#include "analysis/statistics/normal_equations.h"
#include "analysis/statistics/robust.h"
#include "analysis/statistics/summaries.h"

namespace proofdrive::analysis {
namespace {

constexpr std::size_t kGroups = 8;           // left out one by one, for the error
constexpr double kStretch = 200;             // s within which levels are compared
constexpr double kAround = 30;               // s of rest around load
constexpr std::size_t kMostReadings = 4000;  // of one cell
constexpr std::size_t kFewestReadings = 12;
// Of the squares of the current about its means, A^2: a dozen readings 6 A off.
constexpr double kLeastMoved = 400;
constexpr double kFar = 5;  // deviations of a reading that is not used
constexpr int kTrims = 3;
constexpr double kPulseSeconds = 2;
constexpr double kGridSeconds = 0.1;
constexpr double kKeepMoved = 0.7;  // of what the current moved, that trimming must leave
constexpr double kNaN = std::numeric_limits<double>::quiet_NaN();
// Two voltage sensors differ by so much in gain (0.2 - 1 %, from memory), one standard deviation.
constexpr double kGainDiffers = 0.003;

// Between neighbouring samples, in order of rising times.
class Interpolated {
 public:
  explicit Interpolated(const Track& track)
      : track_(track), gap_(std::max(CheckInput::Gap(track), 0.05)) {}
  double At(double at_s) {
    const auto after = std::upper_bound(track_.time_s.begin() + static_cast<std::ptrdiff_t>(index_),
                                        track_.time_s.end(), at_s);
    if (after != track_.time_s.begin()) {
      index_ = std::max(index_, static_cast<std::size_t>(after - track_.time_s.begin()) - 1);
    }
    if (track_.empty() || track_.time_s[index_] > at_s) return kNaN;
    if (at_s == track_.time_s[index_]) return track_.value[index_];
    if (index_ + 1 == track_.size()) return kNaN;
    const double span = track_.time_s[index_ + 1] - track_.time_s[index_];
    if (span > gap_) return kNaN;
    const double part = (at_s - track_.time_s[index_]) / span;
    return track_.value[index_] + part * (track_.value[index_ + 1] - track_.value[index_]);
  }
  void Restart() { index_ = 0; }

 private:
  const Track& track_;
  double gap_;
  std::size_t index_ = 0;
};

// The current, what two short lags take up, and the charge: cells differ alike in all their parts.
constexpr std::size_t kTerms = 4;
constexpr std::array<std::size_t, kTerms> kTermOf = {0, 1, 2, kChargeTerm};
using Terms = std::array<double, kTerms>;
using Normal = NormalEquations<kTerms>;

// What the terms explain of the pack's share and of what a cell has beyond it.
struct Sums {
  Normal share, left;
  double count = 0;
  void Add(const Sums& other, double sign) {
    share.Add(other.share, sign);
    left.Add(other.left, sign);
    count += sign * other.count;
  }
  double moved() const { return left.xx[0][0]; }
  bool enough() const { return count >= kTerms + 1 && moved() >= kLeastMoved; }
};

// V for an ampere that flows for two seconds.
double AfterPulse(const Terms& slopes) {
  double sum = 0;
  for (std::size_t k = 0; k < kTerms; ++k) {
    sum += slopes[k] * ReachedAfter(kTermOf[k], kPulseSeconds);
  }
  return sum;
}

struct Reading {
  double at_s = 0;
  Terms terms = {};
  double share = 0, left = 0;
};

Reading MeanOf(const std::vector<Reading>& readings, std::size_t from, std::size_t to) {
  const auto count = static_cast<double>(to - from);
  Reading mean;
  for (std::size_t i = from; i < to; ++i) {
    for (std::size_t k = 0; k < kTerms; ++k) mean.terms[k] += readings[i].terms[k] / count;
    mean.share += readings[i].share / count;
    mean.left += readings[i].left / count;
  }
  return mean;
}

void AddStretch(const std::vector<Reading>& readings, std::size_t from, std::size_t to,
                Sums& sums) {
  if (to < from + 2) return;
  const Reading mean = MeanOf(readings, from, to);
  for (std::size_t i = from; i < to; ++i) {
    Terms off = readings[i].terms;
    for (std::size_t k = 0; k < kTerms; ++k) off[k] -= mean.terms[k];
    sums.left.Add(off, readings[i].left - mean.left);
    sums.share.Add(off, readings[i].share - mean.share);
  }
  sums.count += static_cast<double>(to - from);
}

// Load and a little rest around it, joined.
Intervals Loaded(const Track& current, double quiet_a) {
  Intervals joined;
  for (const Interval& load :
       Where(current, std::max(CheckInput::Gap(current), 1.0),
             [quiet_a](double amps) { return std::fabs(amps) >= quiet_a; })) {
    const Interval wide = {load.from_s - kAround, load.to_s + kAround};
    if (!joined.empty() && wide.from_s <= joined.back().to_s) {
      joined.back().to_s = std::max(joined.back().to_s, wide.to_s);
    } else {
      joined.push_back(wide);
    }
  }
  return joined;
}

// The load on a grid that every cell is read from.
class LoadGrid {
 public:
  LoadGrid(const Track& current, const Intervals& loaded) {
    LoadOverTime load(current);
    for (const Interval& time : loaded) {
      for (double at = time.from_s; at <= time.to_s; at += kGridSeconds) {
        const auto terms = load.At(at);
        if (!terms) continue;
        time_s_.push_back(at);
        terms_.push_back(Chosen(*terms));
      }
    }
  }

  std::optional<Terms> At(double at_s) const {
    const auto after = std::upper_bound(time_s_.begin(), time_s_.end(), at_s);
    if (after == time_s_.begin() || after == time_s_.end()) return std::nullopt;
    const auto index = static_cast<std::size_t>(after - time_s_.begin());
    const double span = time_s_[index] - time_s_[index - 1];
    if (span > 1.5 * kGridSeconds) return std::nullopt;
    const double part = (at_s - time_s_[index - 1]) / span;
    Terms terms = terms_[index - 1];
    for (std::size_t k = 0; k < kTerms; ++k) terms[k] += part * (terms_[index][k] - terms[k]);
    return terms;
  }

 private:
  static Terms Chosen(const LoadTerms& all) {
    Terms terms = {};
    for (std::size_t k = 0; k < kTerms; ++k) terms[k] = all[kTermOf[k]];
    return terms;
  }

  std::vector<double> time_s_;
  std::vector<Terms> terms_;
};

// The readings of one cell with pack and current of the same moment.
std::vector<Reading> ReadingsOf(const Track& cell, double series, Interpolated& pack,
                                const LoadGrid& load) {
  std::vector<Reading> readings;
  pack.Restart();
  for (std::size_t i = 0; i < cell.size(); ++i) {
    const double at = cell.time_s[i];
    const auto terms = load.At(at);
    const double share = pack.At(at) / series;
    if (!terms || std::isnan(share)) continue;
    readings.push_back({at, *terms, share, cell.value[i] - share});
  }
  return readings;
}

using Grouped = std::array<Sums, kGroups>;

Grouped SumsOf(const std::vector<Reading>& readings, double from_s, double to_s) {
  Grouped groups;
  for (std::size_t from = 0; from < readings.size();) {
    std::size_t to = from;
    while (to < readings.size() && readings[to].at_s < readings[from].at_s + kStretch) ++to;
    const double part = (readings[from].at_s - from_s) / std::max(to_s - from_s, 1.0);
    const auto group = static_cast<std::size_t>(std::clamp(part, 0.0, 0.999) * kGroups);
    AddStretch(readings, from, to, groups[group]);
    from = to;
  }
  return groups;
}

Sums AllBut(const Grouped& groups, std::size_t left_out) {
  Sums sums;
  for (std::size_t i = 0; i < kGroups; ++i) {
    if (i != left_out) sums.Add(groups[i], 1);
  }
  return sums;
}

// Jackknife over parts of the time; the parts need not be independent of each other's readings, but
// what drifts within minutes is.
double JackknifeError(const std::vector<double>& without, double all) {
  double sum = 0;
  for (const double one : without) sum += (one - all) * (one - all);
  const auto count = static_cast<double>(without.size());
  return count < 2 ? std::numeric_limits<double>::infinity() : std::sqrt((count - 1) / count * sum);
}

struct Fit {
  Terms slopes = {};
  double ohm = 0, share_ohm = 0;  // of what is left and of the share, V/A
  double level = 0;
  double moved = 0;  // sum of squares of the current about its means
  std::size_t readings = 0;
  std::vector<double> without;  // ohm with each group left out that has readings
};

// Without what the terms explain.
double LeftOf(const Reading& reading, const Terms& slopes) {
  double left = reading.left;
  for (std::size_t k = 0; k < kTerms; ++k) left -= slopes[k] * reading.terms[k];
  return left;
}

std::optional<Fit> FitOne(const std::vector<Reading>& readings, double from_s, double to_s) {
  if (readings.size() < kFewestReadings) return std::nullopt;
  const Grouped groups = SumsOf(readings, from_s, to_s);
  const Sums all = AllBut(groups, kGroups);
  if (!all.enough()) return std::nullopt;
  const auto left = all.left.Solve();
  const auto share = all.share.Solve();
  if (!left || !share) return std::nullopt;
  Fit fit;
  fit.slopes = *left;
  fit.ohm = AfterPulse(*left);
  fit.share_ohm = AfterPulse(*share);
  fit.moved = all.moved();
  fit.readings = readings.size();
  for (std::size_t i = 0; i < kGroups; ++i) {
    const Sums rest = AllBut(groups, i);
    const auto one = groups[i].count > 0 && rest.enough() ? rest.left.Solve() : std::nullopt;
    fit.without.push_back(one ? AfterPulse(*one) : fit.ohm);
  }
  std::vector<double> level;
  for (const Reading& one : readings) level.push_back(one.left - fit.ohm * one.terms[0]);
  fit.level = Median(level);
  return fit;
}

// Readings that were not of the same moment, as at a sudden step, are far off the others.
void DropFarOnes(const Terms& slopes, std::vector<Reading>& readings) {
  std::vector<double> rest;
  for (std::size_t from = 0; from < readings.size();) {
    std::vector<double> stretch;
    std::size_t to = from;
    for (; to < readings.size() && readings[to].at_s < readings[from].at_s + kStretch; ++to) {
      stretch.push_back(LeftOf(readings[to], slopes));
    }
    const double middle = Median(stretch);
    for (const double one : stretch) rest.push_back(one - middle);
    from = to;
  }
  const double far = kFar * RobustSpread(rest, 0);
  std::size_t kept = 0;
  for (std::size_t i = 0; i < readings.size(); ++i) {
    if (std::fabs(rest[i]) <= far) readings[kept++] = readings[i];
  }
  readings.resize(kept);
}

std::optional<Fit> FitTrimmed(std::vector<Reading> readings, double from_s, double to_s) {
  auto fit = FitOne(readings, from_s, to_s);
  for (int round = 0; fit && round < kTrims; ++round) {
    const std::size_t before = readings.size();
    DropFarOnes(fit->slopes, readings);
    if (readings.size() == before) break;
    // Where the current changed but once, the readings before are few and must stay.
    const auto trimmed = FitOne(readings, from_s, to_s);
    if (!trimmed || trimmed->moved < kKeepMoved * fit->moved) break;
    fit = trimmed;
  }
  if (fit) fit->readings = readings.size();
  return fit;
}

}  // namespace

double CellsInSeries(const Track& pack, const std::vector<Track>& cells) {
  std::vector<double> volts;
  for (const Track& cell : cells) {
    if (!cell.empty()) volts.push_back(Median(Thinned(cell, 200).value));
  }
  const double middle = Median(volts);
  if (middle <= 0) return 0;
  const double ratio = Median(Thinned(pack, 200).value) / middle;
  const double strings = std::max(1.0, std::round(static_cast<double>(cells.size()) / ratio));
  return static_cast<double>(cells.size()) / strings;
}

CellOhms FitCellOhms(const Track& pack, const std::vector<Track>& cells, const Track& current,
                     double quiet_a) {
  CellOhms result;
  result.series = CellsInSeries(pack, cells);
  const Intervals loaded = Loaded(current, quiet_a);
  if (result.series <= 0 || loaded.empty()) return result;
  const LoadGrid load(current, loaded);
  Interpolated pack_at(pack);
  const double from = loaded.front().from_s, to = loaded.back().to_s;
  std::vector<double> shares, link_without(kGroups, 0);
  double link = 0;
  for (std::size_t i = 0; i < cells.size(); ++i) {
    auto readings =
        ReadingsOf(Thinned(KeepIn(cells[i], loaded), kMostReadings), result.series, pack_at, load);
    const auto fit = FitTrimmed(std::move(readings), from, to);
    if (!fit) continue;
    result.readings += fit->readings;
    result.cell.push_back(i);
    result.ohm.push_back(fit->ohm);
    result.error.push_back(JackknifeError(fit->without, fit->ohm));
    shares.push_back(fit->share_ohm);
    link += fit->ohm;
    result.offset_v += fit->level;
    for (std::size_t k = 0; k < kGroups; ++k) link_without[k] += fit->without[k];
  }
  if (result.cell.empty()) return result;
  result.share_ohm = -Median(shares);
  for (double& ohm : result.ohm) ohm = result.share_ohm - ohm;
  // Of strings in parallel every cell is counted once.
  const double strings = static_cast<double>(cells.size()) / result.series;
  for (double& one : link_without) one /= strings;
  result.link_ohm = link / strings;
  result.offset_v /= strings;
  result.links_known = result.cell.size() == cells.size();
  result.link_error = std::hypot(JackknifeError(link_without, result.link_ohm),
                                 kGainDiffers * result.share_ohm * result.series);
  return result;
}

}  // namespace proofdrive::analysis
