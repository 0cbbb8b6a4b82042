#include "analysis/survey/meaning/follow.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <set>

namespace proofdrive::analysis::survey {
namespace {

constexpr std::size_t kMostPoints = 1500;
constexpr std::size_t kLeastPoints = 20;
constexpr std::size_t kShifts = 199;
constexpr double kLagStep = 0.1;       // s
constexpr double kShiftLagStep = 0.4;  // s; shifts need not be placed as finely
constexpr double kLeastShare = 0.6;    // of the points where the field has a value
constexpr double kAccept = 0.05;
constexpr double kLeastFit = 0.3;           // r squared
constexpr std::size_t kLeastDifferent = 8;  // values of a field
constexpr std::size_t kMostNice = 3;
constexpr double kTrimmed = 0.05;  // of the points, those that fit worst

const double kNaN = std::numeric_limits<double>::quiet_NaN();

Reference Thinned(const Reference& reference, const std::vector<FieldTrack>& tracks) {
  TimeSpan span;
  for (const FieldTrack& track : tracks) span.Widen(*track.times);
  Reference inside{reference.name, reference.unit, {}, {}};
  for (std::size_t i = 0; i < reference.times.size(); ++i) {
    if (reference.times[i] < span.begin || reference.times[i] > span.end) continue;
    inside.times.push_back(reference.times[i]);
    inside.values.push_back(reference.values[i]);
  }
  const std::size_t step = inside.times.size() / kMostPoints + 1;
  Reference thin{reference.name, reference.unit, {}, {}};
  for (std::size_t i = 0; i < inside.times.size(); i += step) {
    thin.times.push_back(inside.times[i]);
    thin.values.push_back(inside.values[i]);
  }
  return thin;
}

// The field's last value before each time; NaN after a silence.
std::vector<double> HeldAt(const FieldTrack& track, const std::vector<double>& times, double lag) {
  std::vector<double> held(times.size(), kNaN);
  const std::vector<double>& own = *track.times;
  const double span = own.back() - own.front();
  const double silence = std::max(1.0, 5 * span / static_cast<double>(own.size()));
  std::size_t next = 0;
  for (std::size_t i = 0; i < times.size(); ++i) {
    const double time = times[i] - lag;
    while (next < own.size() && own[next] <= time) ++next;
    if (next == 0 || time - own[next - 1] > silence) continue;
    held[i] = track.values[next - 1];
  }
  return held;
}

struct Sums {
  double n = 0, x = 0, y = 0, xx = 0, yy = 0, xy = 0;
  void Add(double a, double b) { n += 1, x += a, y += b, xx += a * a, yy += b * b, xy += a * b; }
  double vx() const { return xx - x * x / n; }
  double vy() const { return yy - y * y / n; }
  double vxy() const { return xy - x * y / n; }
  double R2() const {
    return n > 2 && vx() > 1e-9 * xx && vy() > 0 ? vxy() * vxy() / (vx() * vy()) : 0;
  }
};

Sums SumUp(const std::vector<double>& held, const std::vector<double>& values, double x0,
           double y0) {
  Sums sums;
  for (std::size_t i = 0; i < held.size(); ++i) {
    if (!std::isnan(held[i])) sums.Add(held[i] - x0, values[i] - y0);
  }
  return sums;
}

bool HasDifferent(const std::vector<double>& values) {
  std::set<double> different;
  for (const double value : values) {
    if (!std::isnan(value)) different.insert(value);
    if (different.size() >= kLeastDifferent) return true;
  }
  return false;
}

double FirstOf(const std::vector<double>& held) {
  for (const double value : held) {
    if (!std::isnan(value)) return value;
  }
  return 0;
}

// Without mean, of length one; 0 where there is no value. Empty: it does not change.
std::vector<float> Normalised(const std::vector<double>& values) {
  double n = 0, sum = 0, squares = 0;
  const double zero = FirstOf(values);
  for (const double value : values) {
    if (std::isnan(value)) continue;
    n += 1, sum += value - zero, squares += (value - zero) * (value - zero);
  }
  const double spread = n > 0 ? squares - sum * sum / n : 0;
  if (n < kLeastShare * static_cast<double>(values.size()) || spread <= 1e-9 * squares) return {};
  std::vector<float> result(values.size(), 0);
  for (std::size_t i = 0; i < values.size(); ++i) {
    if (std::isnan(values[i])) continue;
    result[i] = static_cast<float>((values[i] - zero - sum / n) / std::sqrt(spread));
  }
  return result;
}

// Best fit over all fields and lags, for each of the shifts of the reference.
std::vector<double> BestOfShifts(const Reference& reference,
                                 const std::vector<FieldTrack>& tracks) {
  std::vector<double> best(kShifts, 0);
  const std::size_t n = reference.times.size();
  const std::vector<float> y = Normalised(reference.values);
  if (y.empty()) return best;
  // Twice in a row, so that a shift is a run of it.
  std::vector<float> twice(y);
  twice.insert(twice.end(), y.begin(), y.end());
  for (const FieldTrack& track : tracks) {
    for (double lag = -kMostLag; lag <= kMostLag + 1e-9; lag += kShiftLagStep) {
      const std::vector<float> x = Normalised(HeldAt(track, reference.times, lag));
      for (std::size_t k = 0; k < kShifts && !x.empty(); ++k) {
        const std::size_t shift = n / 10 + (n - n / 5) * k / kShifts;
        float sum = 0;
        for (std::size_t i = 0; i < n; ++i) sum += x[i] * twice[i + shift];
        best[k] = std::max(best[k], static_cast<double>(sum) * static_cast<double>(sum));
      }
    }
  }
  return best;
}

// A line through the points, again without those that fit worst.
void FitLine(const std::vector<double>& held, const std::vector<double>& values, Partner& partner) {
  const double x0 = FirstOf(held);
  const double y0 = values.front();
  const Sums all = SumUp(held, values, x0, y0);
  const double slope = all.vxy() / all.vx();
  const double rise = (all.y - slope * all.x) / all.n;
  std::vector<double> rests;
  for (std::size_t i = 0; i < held.size(); ++i) {
    if (std::isnan(held[i])) continue;
    rests.push_back(std::abs(values[i] - y0 - slope * (held[i] - x0) - rise));
  }
  const auto limit_at = rests.begin() + static_cast<std::ptrdiff_t>(
                                            static_cast<double>(rests.size() - 1) * (1 - kTrimmed));
  std::nth_element(rests.begin(), limit_at, rests.end());
  Sums kept;
  for (std::size_t i = 0; i < held.size(); ++i) {
    if (std::isnan(held[i])) continue;
    const double rest = std::abs(values[i] - y0 - slope * (held[i] - x0) - rise);
    if (rest <= *limit_at) kept.Add(held[i] - x0, values[i] - y0);
  }
  const Sums& used = kept.n > 2 && kept.vx() > 0 ? kept : all;
  partner.scale = used.vxy() / used.vx();
  const double meets = (used.y - partner.scale * used.x) / used.n;
  partner.offset = meets + y0 - partner.scale * x0;
  const double rest2 = std::max(0.0, used.vy() - partner.scale * used.vxy());
  partner.scale_error = std::sqrt(rest2 / std::max(1.0, used.n - 2) / used.vx());
  const double mean_x = used.x / used.n + x0;
  partner.offset_error = std::sqrt(rest2 / std::max(1.0, used.n - 2) / used.n +
                                   mean_x * mean_x * partner.scale_error * partner.scale_error);
}

std::optional<Partner> BestLag(const Reference& reference, const FieldTrack& track) {
  Partner partner;
  partner.reference = reference.name;
  partner.field = track.name;
  const double y0 = reference.values.front();
  for (int step = -20; step <= 20; ++step) {
    const double lag = step * kLagStep;
    const std::vector<double> held = HeldAt(track, reference.times, lag);
    const Sums sums = SumUp(held, reference.values, FirstOf(held), y0);
    if (sums.n < kLeastShare * static_cast<double>(held.size())) continue;
    const double r2 = sums.R2();
    if (r2 <= partner.r2) continue;
    partner.r2 = r2;
    partner.lag_s = lag;
  }
  if (partner.r2 <= 0) return std::nullopt;
  FitLine(HeldAt(track, reference.times, partner.lag_s), reference.values, partner);
  return partner;
}

void Judge(const std::vector<double>& best_of_shifts, Partner& partner) {
  std::size_t as_good = 0;
  for (const double r2 : best_of_shifts) as_good += r2 >= partner.r2 ? 1U : 0U;
  partner.p = static_cast<double>(as_good + 1) / static_cast<double>(best_of_shifts.size() + 1);
  if (partner.p > kAccept) {
    partner.why_not = "some field fits as well by chance; record longer, with more ups and downs";
  } else if (partner.r2 < kLeastFit) {
    partner.why_not = "moves with it, but too loosely to be the same";
  } else if (std::abs(partner.lag_s) > kMostLag - kLagStep / 2) {
    partner.why_not = "fits best at the longest lag looked at: the clocks may differ by more";
  }
  partner.accepted = partner.why_not.empty();
}

}  // namespace

std::vector<double> NiceScales(double scale, double error) {
  std::vector<std::pair<double, double>> near;  // distance, value
  const double size = std::abs(scale);
  if (!(size > 1e-12) || size > 1e12 || error > 0.05 * size) return {};
  const double width = std::max(2 * error, 0.03 * size);
  const auto offer = [&](double value) {
    if (std::abs(value - size) <= width) near.emplace_back(std::abs(value - size), value);
  };
  for (const double unit : {1.0, 1 / 3.6, 3.6, 1.609344, 1 / 1.609344}) {
    const int power = static_cast<int>(std::floor(std::log10(size / unit)));
    for (int k = power - 1; k <= power + 1; ++k) {
      for (const double step : {1.0, 2.0, 2.5, 5.0}) offer(unit * step * std::pow(10.0, k));
    }
    const int two = static_cast<int>(std::floor(std::log2(size / unit)));
    for (int k = two - 1; k <= two + 1; ++k) offer(unit * std::pow(2.0, k));
  }
  std::sort(near.begin(), near.end());
  std::vector<double> scales;
  for (const auto& [distance, value] : near) {
    const double with_sign = scale < 0 ? -value : value;
    if (scales.empty() || std::abs(scales.back() - with_sign) > 1e-9 * size) {
      scales.push_back(with_sign);
    }
    if (scales.size() == kMostNice) break;
  }
  return scales;
}

std::vector<Partner> Follow(const Reference& reference, const std::vector<FieldTrack>& tracks,
                            std::size_t most) {
  std::vector<Partner> partners;
  std::vector<FieldTrack> usable;
  for (const FieldTrack& track : tracks) {
    if (track.times->size() >= kLeastPoints && HasDifferent(track.values)) usable.push_back(track);
  }
  const Reference thin = Thinned(reference, usable);
  if (thin.times.size() < kLeastPoints || Normalised(thin.values).empty()) return partners;
  for (const FieldTrack& track : usable) {
    if (auto partner = BestLag(thin, track)) partners.push_back(std::move(*partner));
  }
  std::stable_sort(partners.begin(), partners.end(),
                   [](const Partner& a, const Partner& b) { return a.r2 > b.r2; });
  if (partners.size() > most) partners.resize(most);
  const std::vector<double> best_of_shifts = BestOfShifts(thin, usable);
  for (Partner& partner : partners) {
    Judge(best_of_shifts, partner);
    partner.nice_scales = NiceScales(partner.scale, partner.scale_error);
  }
  return partners;
}

}  // namespace proofdrive::analysis::survey
