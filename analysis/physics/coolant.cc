#include "analysis/physics/coolant.h"

#include <algorithm>
#include <cmath>
#include <iterator>

#include "analysis/statistics/robust.h"

namespace proofdrive::analysis {
namespace {

struct Row {
  double celsius;
  Coolant coolant;
};
constexpr Row kRows[] = {{-20, {1086.9, 3126, 22.9}}, {-10, {1084.2, 3165, 13.3}},
                         {0, {1081.1, 3203, 8.28}},   {10, {1077.5, 3242, 5.51}},
                         {20, {1073.3, 3281, 3.88}},  {25, {1071.1, 3300, 3.32}},
                         {30, {1068.7, 3319, 2.87}},  {40, {1063.7, 3358, 2.21}},
                         {50, {1058.1, 3396, 1.76}},  {60, {1052.0, 3435, 1.44}}};

std::vector<double> Differences(std::span<const double> values) {
  std::vector<double> differences;
  for (std::size_t i = 1; i < values.size(); ++i) differences.push_back(values[i] - values[i - 1]);
  return differences;
}

}  // namespace

Coolant CoolantAt(double celsius) {
  const auto above = std::find_if(std::begin(kRows), std::end(kRows),
                                  [celsius](const Row& row) { return row.celsius >= celsius; });
  if (above == std::begin(kRows)) return above->coolant;
  if (above == std::end(kRows)) return std::prev(above)->coolant;
  const Row& low = *std::prev(above);
  const double part = (celsius - low.celsius) / (above->celsius - low.celsius);
  const auto between = [part](double a, double b) { return a + part * (b - a); };
  return {between(low.coolant.density, above->coolant.density),
          between(low.coolant.heat_capacity, above->coolant.heat_capacity),
          between(low.coolant.viscosity, above->coolant.viscosity)};
}

double HeatPerKelvin(double litres_per_minute, double celsius) {
  const Coolant coolant = CoolantAt(celsius);
  return litres_per_minute / 60e3 * coolant.density * coolant.heat_capacity;
}

double ImpliedFlow(double watt, double rise_k, double celsius) {
  return rise_k == 0 ? 0 : watt / rise_k / HeatPerKelvin(1, celsius);
}

double PumpIndex(double watt, double rpm) {
  const double thousands = rpm / 1000;
  return watt / (thousands * thousands * thousands);
}

double PumpLaw::PowerAt(double rpm) const { return std::exp(offset + exponent * std::log(rpm)); }

PumpLaw FitPumpLaw(std::span<const double> rpm, std::span<const double> watt) {
  std::vector<double> x;
  std::vector<double> y;
  for (std::size_t i = 0; i < rpm.size(); ++i) {
    if (rpm[i] <= 0 || watt[i] <= 0) continue;
    x.push_back(std::log(rpm[i]));
    y.push_back(std::log(watt[i]));
  }
  const Line line = LeastSquares(x, y);
  return {line.intercept, line.slope};
}

std::vector<double> DelayCorrelations(std::span<const double> inlet, std::span<const double> outlet,
                                      int most) {
  const std::vector<double> in = Differences(inlet);
  const std::vector<double> out = Differences(outlet);
  std::vector<double> correlations;
  for (std::size_t lag = 0; lag <= static_cast<std::size_t>(std::max(most, 0)); ++lag) {
    if (lag + 3 > std::min(in.size(), out.size())) break;
    const std::size_t count = std::min(in.size(), out.size()) - lag;
    correlations.push_back(
        Correlation(std::span(in).first(count), std::span(out).subspan(lag, count)));
  }
  return correlations;
}

Delay BestDelay(std::span<const double> inlet, std::span<const double> outlet, int most) {
  const std::vector<double> correlations = DelayCorrelations(inlet, outlet, most);
  if (correlations.empty()) return {};
  const auto best = std::max_element(correlations.begin(), correlations.end());
  return {static_cast<int>(best - correlations.begin()), *best};
}

double DelayFlow(double litres, double delay_s) { return delay_s > 0 ? 60 * litres / delay_s : 0; }

double CoolingTimeConstant(std::span<const double> time_s, std::span<const double> celsius,
                           double end_c, bool free_start) {
  if (celsius.empty() || celsius[0] == end_c) return 0;
  std::vector<double> x;
  std::vector<double> y;
  for (std::size_t i = 0; i < celsius.size(); ++i) {
    const double left = (celsius[i] - end_c) / (celsius[0] - end_c);
    if (left <= 0) continue;
    x.push_back(time_s[i] - time_s[0]);
    y.push_back(std::log(left));
  }
  const double slope = free_start ? LeastSquares(x, y).slope : LeastSquaresThroughOrigin(x, y);
  return slope < 0 ? -1 / slope : 0;
}

}  // namespace proofdrive::analysis
