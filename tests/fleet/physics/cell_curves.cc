#include "tests/fleet/physics/cell_curves.h"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <map>
#include <utility>

namespace proofdrive::fleet {
namespace {

constexpr int kSteps = 2000;

// Graphite of Mohtat et al. 2020, J. Electrochem. Soc. 167 110561 (looked up).
double GraphiteMohtat(double x) {
  return 0.063 + 0.8 * std::exp(-75 * (x + 0.001)) - 0.0120 * std::tanh((x - 0.127) / 0.016) -
         0.0118 * std::tanh((x - 0.155) / 0.016) - 0.0035 * std::tanh((x - 0.220) / 0.020) -
         0.0095 * std::tanh((x - 0.190) / 0.013) - 0.0145 * std::tanh((x - 0.490) / 0.020) -
         0.0800 * std::tanh((x - 1.030) / 0.055);
}

// Graphite with silicon of Chen et al. 2020, J. Electrochem. Soc. 167 080534 (looked up).
double GraphiteSiliconChen(double x) {
  return 1.9793 * std::exp(-39.3631 * x) + 0.2482 - 0.0909 * std::tanh(29.8538 * (x - 0.1234)) -
         0.04478 * std::tanh(14.9159 * (x - 0.2769)) - 0.0205 * std::tanh(30.4444 * (x - 0.6103));
}

// Graphite of Safari and Delacourt 2011, J. Electrochem. Soc., 10.1149/1.3567007 (looked up).
double GraphiteSafari(double x) {
  return 0.6379 + 0.5416 * std::exp(-305.5309 * x) + 0.044 * std::tanh(-(x - 0.1958) / 0.1088) -
         0.1978 * std::tanh((x - 1.0571) / 0.0854) - 0.6875 * std::tanh((x + 0.0117) / 0.0529) -
         0.0175 * std::tanh((x - 0.5692) / 0.0875);
}

// Graphite of Kim et al. 2011, J. Electrochem. Soc. 158 A955 (looked up).
double GraphiteKim(double x) {
  return 0.124 + 1.5 * std::exp(-70 * x) - 0.0351 * std::tanh((x - 0.286) / 0.083) -
         0.0045 * std::tanh((x - 0.9) / 0.119) - 0.035 * std::tanh((x - 0.99) / 0.05) -
         0.0147 * std::tanh((x - 0.5) / 0.034) - 0.102 * std::tanh((x - 0.194) / 0.142) -
         0.022 * std::tanh((x - 0.98) / 0.0164) - 0.011 * std::tanh((x - 0.124) / 0.0226) +
         0.0155 * std::tanh((x - 0.105) / 0.029);
}

// Sites of one material: filled share by voltage (Verbrugge et al. 2017, J. Electrochem. Soc.
// 164(11) E3243, table 1, looked up).
struct Site {
  double volt, share, width;
};
using Sites = std::vector<Site>;

double SharesAt(const Sites& sites, double volt) {
  constexpr double kPerVolt = 38.92;  // F / (R T) at 25 degC
  double sum = 0;
  for (const Site& site : sites) {
    sum += site.share / (1 + std::exp(kPerVolt * (volt - site.volt) / site.width));
  }
  return sum;
}

// Filling falls with the voltage.
double VoltOfSites(const Sites& sites, double filled) {
  double low = -1;
  double high = 6;
  for (int i = 0; i < 60; ++i) {
    const double middle = (low + high) / 2;
    (SharesAt(sites, middle) > filled ? low : high) = middle;
  }
  return (low + high) / 2;
}

double GraphiteVerbrugge(double x) {
  static const Sites sites = {{.08843, .43336, .08611}, {.12799, .23963, .08009},
                              {.14331, .15018, .72469}, {.16984, .05462, 2.53277},
                              {.21446, .06744, .09470}, {.36325, .05476, 5.97354}};
  return VoltOfSites(sites, x);
}

double Nmc622Verbrugge(double y) {
  static const Sites sites = {{3.62274, .13442, .96710},
                              {3.72645, .32460, 1.39712},
                              {3.90575, .21118, 3.505},
                              {4.22955, .32980, 5.52757}};
  return VoltOfSites(sites, y);
}

// Stewart, Srinivasan, Newman 2008 (from memory; the formula looked up).
double Nmc111Stewart(double y) {
  return 6.0826 - 6.9922 * y + 7.1062 * y * y - 2.5947 * y * y * y -
         0.54549e-4 * std::exp(124.23 * y - 114.2593);
}

// Mohtat et al. 2020 (looked up; that it is 532 from memory).
double Nmc532Mohtat(double y) {
  return 4.3452 - 1.6518 * y + 1.6225 * y * y - 2.0843 * std::pow(y, 3) + 3.5146 * std::pow(y, 4) -
         2.2166 * std::pow(y, 5) - 0.5623e-4 * std::exp(109.451 * y - 100.006);
}

// Chen et al. 2020 (looked up).
double Nmc811Chen(double y) {
  return -0.8090 * y + 4.4875 - 0.0428 * std::tanh(18.5138 * (y - 0.5542)) -
         17.7326 * std::tanh(15.7890 * (y - 0.3117)) + 17.5842 * std::tanh(15.9308 * (y - 0.3120));
}

// Kim et al. 2011 (looked up).
double NcaKim(double y) {
  constexpr double k[] = {11.8058, -66.3691, 264.427, -554.774, 621.3475, -344.566,
                          81.246,  -23.488,  15.056,  -2.222,   1.638};
  double sum = 0;
  for (std::size_t i = std::size(k); i-- > 0;) sum = sum * y + k[i];
  return sum - 0.61386 * std::exp(5.8201 * std::pow(y, 136.4));
}

// Safari and Delacourt 2011 (looked up).
double LfpSafari(double y) {
  const double z = 1 - y;
  return 3.4323 - 0.8428 * std::exp(-80.2493 * std::pow(z, 1.3198)) -
         3.2474e-6 * std::exp(20.2645 * std::pow(z, 3.8003)) +
         3.2482e-6 * std::exp(20.2646 * std::pow(z, 3.7995));
}

// Afshar 2017, arXiv 1709.03970 (looked up).
double LfpAfshar(double y) {
  return 3.4077 - 0.020269 * y + 0.5 * std::exp(-150 * y) - 0.9 * std::exp(-30 * (1 - y));
}

// Doyle et al. 1996, J. Electrochem. Soc. 143 1890 (looked up).
double LmoDoyle(double y) {
  return 4.19829 + 0.0565661 * std::tanh(-14.5546 * y + 8.60942) -
         0.0275479 * (std::pow(0.998432 - y, -0.492465) - 1.90111) -
         0.157123 * std::exp(-0.04738 * std::pow(y, 8)) + 0.810239 * std::exp(-40 * (y - 0.133875));
}

// Both electrodes with the fillings at no and at full charge. Ends of 532, 811 and NCA from the
// published amounts (looked up, computed); the others chosen for the usual end voltages.
struct CellRow {
  CellKind kind;
  std::string_view name;
  double (*positive)(double);
  double (*negative)(double);
  double x_empty, x_full, y_empty, y_full;
  CellLimits limits;
};
const std::vector<CellRow>& Rows() {
  using enum CellKind;
  static const std::vector<CellRow> rows = {
      {kNmc111, "NMC 111", Nmc111Stewart, GraphiteMohtat, .010, .850, .9880, .3866, {4.20, 2.8}},
      {kNmc532, "NMC 532", Nmc532Mohtat, GraphiteMohtat, .0017, .8334, .8907, .0335, {4.20, 2.8}},
      {kNmc622,
       "NMC 622",
       Nmc622Verbrugge,
       GraphiteVerbrugge,
       .010,
       .850,
       .9983,
       .1354,
       {4.20, 2.8}},
      {kNmc811,
       "NMC 811, silicon",
       Nmc811Chen,
       GraphiteSiliconChen,
       .0263,
       .9014,
       .8540,
       .2700,
       {4.20, 2.5}},
      {kNmc811Graphite,
       "NMC 811",
       Nmc811Chen,
       GraphiteMohtat,
       .010,
       .850,
       .9800,
       .2640,
       {4.20, 2.8}},
      {kNca, "NCA", NcaKim, GraphiteKim, .0695, .6875, .9817, .3514, {4.20, 2.7}},
      {kLfp, "LFP", LfpSafari, GraphiteSafari, .0085, .780, .9580, .0229, {3.65, 2.0}},
      {kLfpFlat, "LFP, flat", LfpAfshar, GraphiteMohtat, .010, .800, .9679, .0038, {3.65, 2.0}},
      {kLmo, "LMO", LmoDoyle, GraphiteMohtat, .010, .800, .990, .1726, {4.20, 3.0}}};
  return rows;
}

const CellRow& RowOf(CellKind kind) {
  return *std::find_if(Rows().begin(), Rows().end(),
                       [kind](const CellRow& row) { return row.kind == kind; });
}

}  // namespace

const std::vector<CellKind>& AllCellKinds() {
  static const std::vector<CellKind> kinds = [] {
    std::vector<CellKind> all;
    for (const CellRow& row : Rows()) all.push_back(row.kind);
    return all;
  }();
  return kinds;
}

std::string_view CellKindName(CellKind kind) { return RowOf(kind).name; }
std::string_view PublishedCurveOf(CellKind kind) {
  using enum CellKind;
  constexpr std::pair<CellKind, std::string_view> kNames[] = {{kNmc111, "nmc111"},
                                                              {kNmc532, "nmc532"},
                                                              {kNmc622, "nmc622"},
                                                              {kNmc811, "nmc811-silicon"},
                                                              {kNmc811Graphite, "nmc811"},
                                                              {kNca, "nca"},
                                                              {kLmo, "lmo"}};
  for (const auto& [own, name] : kNames) {
    if (own == kind) return name;
  }
  return "";
}
CellLimits LimitsOf(CellKind kind) { return RowOf(kind).limits; }

CellCurve::CellCurve(CellKind kind) {
  const CellRow& row = RowOf(kind);
  for (int i = 0; i <= kSteps; ++i) {
    const double charge = static_cast<double>(i) / kSteps;
    const double x = row.x_empty + (row.x_full - row.x_empty) * charge;
    const double y = row.y_empty + (row.y_full - row.y_empty) * charge;
    volts_.push_back(row.positive(y) - row.negative(x));
  }
}

double CellCurve::Volt(double charge) const {
  const double place = std::clamp(charge, 0.0, 1.0) * kSteps;
  const auto index = std::min(static_cast<std::size_t>(place), std::size_t{kSteps - 1});
  const double part = place - static_cast<double>(index);
  return volts_[index] + part * (volts_[index + 1] - volts_[index]);
}

double CellCurve::Slope(double charge) const {
  return (Volt(charge + 0.005) - Volt(charge - 0.005)) / 0.01;
}

const CellCurve& CurveOf(CellKind kind) {
  static const std::map<CellKind, CellCurve> curves = [] {
    std::map<CellKind, CellCurve> all;
    for (const CellKind one : AllCellKinds()) all.emplace(one, CellCurve(one));
    return all;
  }();
  return curves.at(kind);
}

}  // namespace proofdrive::fleet
