#include "analysis/checks/parts/cell_resistance.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <optional>

#include "analysis/checking/input.h"
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

// Sums of products about the means of each stretch: current, charge, and what is fitted.
struct Sums {
  double ii = 0, iq = 0, qq = 0, iy = 0, qy = 0, iv = 0, qv = 0;
  double count = 0;
  void Add(const Sums& other, double sign) {
    ii += sign * other.ii, iq += sign * other.iq, qq += sign * other.qq;
    iy += sign * other.iy, qy += sign * other.qy;
    iv += sign * other.iv, qv += sign * other.qv;
    count += sign * other.count;
  }
  // Slope on the current of y (or of the pack's share), charge held.
  std::optional<double> Slope(bool of_share) const {
    if (count < 3 || ii < kLeastMoved) return std::nullopt;
    const double on_i = of_share ? iv : iy;
    const double on_q = of_share ? qv : qy;
    const double det = ii * qq - iq * iq;
    if (qq <= 0 || det < 1e-3 * ii * qq) return on_i / ii;
    return (on_i * qq - on_q * iq) / det;
  }
};

struct Reading {
  double at_s, amps, charge, share, left;
};

void AddStretch(const std::vector<Reading>& readings, std::size_t from, std::size_t to,
                Sums& sums) {
  const auto count = static_cast<double>(to - from);
  if (to < from + 2) return;
  Reading mean{};
  for (std::size_t i = from; i < to; ++i) {
    mean.amps += readings[i].amps / count;
    mean.charge += readings[i].charge / count;
    mean.share += readings[i].share / count;
    mean.left += readings[i].left / count;
  }
  for (std::size_t i = from; i < to; ++i) {
    const double a = readings[i].amps - mean.amps;
    const double q = readings[i].charge - mean.charge;
    const double y = readings[i].left - mean.left;
    const double v = readings[i].share - mean.share;
    sums.ii += a * a, sums.iq += a * q, sums.qq += q * q;
    sums.iy += a * y, sums.qy += q * y, sums.iv += a * v, sums.qv += q * v;
  }
  sums.count += count;
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

// Charge taken out so far, Ah.
Track ChargeOver(const Track& current) {
  Track charge;
  double sum = 0;
  for (std::size_t i = 0; i < current.size(); ++i) {
    if (i > 0) {
      const double step = current.time_s[i] - current.time_s[i - 1];
      const double mean = (current.value[i] + current.value[i - 1]) / 2;
      if (!std::isnan(mean)) sum += mean * step / 3600;
    }
    charge.Add(current.time_s[i], sum);
  }
  return charge;
}

// The readings of one cell with pack and current of the same moment.
std::vector<Reading> ReadingsOf(const Track& cell, double series, Interpolated& pack,
                                Interpolated& current, Interpolated& charge) {
  std::vector<Reading> readings;
  pack.Restart();
  current.Restart();
  charge.Restart();
  for (std::size_t i = 0; i < cell.size(); ++i) {
    const double at = cell.time_s[i];
    const double share = pack.At(at) / series;
    const Reading reading = {at, current.At(at), charge.At(at), share, cell.value[i] - share};
    if (!std::isnan(reading.left + reading.amps + reading.charge)) readings.push_back(reading);
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
  double slope = 0, share_slope = 0, level = 0;
  double moved = 0;  // sum of squares of the current about its means
  std::size_t readings = 0;
  std::vector<double> without;  // slope with each group left out that has readings
};

std::optional<Fit> FitOne(const std::vector<Reading>& readings, double from_s, double to_s) {
  if (readings.size() < kFewestReadings) return std::nullopt;
  const Grouped groups = SumsOf(readings, from_s, to_s);
  const Sums all = AllBut(groups, kGroups);
  const auto slope = all.Slope(false);
  const auto share = all.Slope(true);
  if (!slope || !share) return std::nullopt;
  Fit fit{*slope, *share, 0, all.ii, readings.size(), {}};
  for (std::size_t i = 0; i < kGroups; ++i) {
    fit.without.push_back(groups[i].count > 0 ? AllBut(groups, i).Slope(false).value_or(*slope)
                                              : *slope);
  }
  std::vector<double> level;
  for (const Reading& one : readings) level.push_back(one.left - *slope * one.amps);
  fit.level = Median(level);
  return fit;
}

// Readings that were not of the same moment, as at a sudden step, are far off the others.
void DropFarOnes(double slope, std::vector<Reading>& readings) {
  std::vector<double> rest;
  for (std::size_t from = 0; from < readings.size();) {
    std::vector<double> stretch;
    std::size_t to = from;
    for (; to < readings.size() && readings[to].at_s < readings[from].at_s + kStretch; ++to) {
      stretch.push_back(readings[to].left - slope * readings[to].amps);
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
    DropFarOnes(fit->slope, readings);
    if (readings.size() == before) break;
    // Where the current changed but once, the readings before are few and must stay.
    const auto trimmed = FitOne(readings, from_s, to_s);
    if (!trimmed || trimmed->moved < kKeepMoved * fit->moved) break;
    fit = trimmed;
  }
  if (fit) fit->readings = readings.size();
  return fit;
}

// Cells in series: the pack's voltage over that of a cell, as cells of parallel strings are listed
// together.
double InSeries(const Track& pack, const std::vector<Track>& cells) {
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

}  // namespace

CellOhms FitCellOhms(const Track& pack, const std::vector<Track>& cells, const Track& current,
                     double quiet_a) {
  CellOhms result;
  result.series = InSeries(pack, cells);
  const Intervals loaded = Loaded(current, quiet_a);
  if (result.series <= 0 || loaded.empty()) return result;
  const Track charge = ChargeOver(current);
  Interpolated pack_at(pack), current_at(current), charge_at(charge);
  const double from = loaded.front().from_s, to = loaded.back().to_s;
  std::vector<double> shares, link_without(kGroups, 0);
  double link = 0;
  for (std::size_t i = 0; i < cells.size(); ++i) {
    auto readings = ReadingsOf(Thinned(KeepIn(cells[i], loaded), kMostReadings), result.series,
                               pack_at, current_at, charge_at);
    const auto fit = FitTrimmed(std::move(readings), from, to);
    if (!fit) continue;
    result.readings += fit->readings;
    result.cell.push_back(i);
    result.ohm.push_back(fit->slope);
    result.error.push_back(JackknifeError(fit->without, fit->slope));
    shares.push_back(fit->share_slope);
    link += fit->slope;
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
