#include "analysis/physics/open_curves.h"

#include <algorithm>
#include <cmath>

#include "core/base/text.h"

namespace proofdrive::analysis {
namespace {

constexpr int kSteps = 400;
constexpr double kBeyond = 0.05;
constexpr double kSlopeHalf = 0.005;

// One step of a half cell's voltage: height times tanh of the distance over the width.
struct Bend {
  double height, place, width;
};
double BendsAt(double x, std::initializer_list<Bend> bends) {
  double sum = 0;
  for (const Bend& bend : bends) sum += bend.height * std::tanh((x - bend.place) / bend.width);
  return sum;
}

// Mohtat et al. 2020, J. Electrochem. Soc. 167 110561 (looked up).
double PlainGraphite(double x) {
  return 0.063 + 0.8 * std::exp(-75 * (x + 0.001)) +
         BendsAt(x, {{-0.0120, 0.127, 0.016},
                     {-0.0118, 0.155, 0.016},
                     {-0.0035, 0.220, 0.020},
                     {-0.0095, 0.190, 0.013},
                     {-0.0145, 0.490, 0.020},
                     {-0.0800, 1.030, 0.055}});
}

// Kim et al. 2011, J. Electrochem. Soc. 158 A955 (looked up).
double GraphiteOfNca(double x) {
  return 0.124 + 1.5 * std::exp(-70 * x) +
         BendsAt(x, {{-0.0351, 0.286, 0.083},
                     {-0.0045, 0.9, 0.119},
                     {-0.035, 0.99, 0.05},
                     {-0.0147, 0.5, 0.034},
                     {-0.102, 0.194, 0.142},
                     {-0.022, 0.98, 0.0164},
                     {-0.011, 0.124, 0.0226},
                     {0.0155, 0.105, 0.029}});
}

// Verbrugge et al. 2017, J. Electrochem. Soc. 164(11) E3243, table 1 (looked up): sites that fill
// at their own voltages.
struct Site {
  double volt, share, width;
};
double VoltOfSites(std::initializer_list<Site> sites, double filled) {
  constexpr double kPerVolt = 38.92;  // F / (R T) at 25 degC
  double low = -1;
  double high = 6;
  for (int i = 0; i < 50; ++i) {
    const double middle = (low + high) / 2;
    double sum = 0;
    for (const Site& site : sites) {
      sum += site.share / (1 + std::exp(kPerVolt * (middle - site.volt) / site.width));
    }
    (sum > filled ? low : high) = middle;
  }
  return (low + high) / 2;
}
double GraphiteOfSites(double x) {
  return VoltOfSites({{.08843, .43336, .08611},
                      {.12799, .23963, .08009},
                      {.14331, .15018, .72469},
                      {.16984, .05462, 2.53277},
                      {.21446, .06744, .09470},
                      {.36325, .05476, 5.97354}},
                     x);
}
double Nickel622(double y) {
  return VoltOfSites({{3.62274, .13442, .96710},
                      {3.72645, .32460, 1.39712},
                      {3.90575, .21118, 3.505},
                      {4.22955, .32980, 5.52757}},
                     y);
}

double Polynomial(double x, std::initializer_list<double> from_constant) {
  double sum = 0;
  double power = 1;
  for (const double factor : from_constant) {
    sum += factor * power;
    power *= x;
  }
  return sum;
}

// Stewart, Srinivasan, Newman 2008 (paper from memory, formula looked up).
double Nickel111(double y) {
  return Polynomial(y, {6.0826, -6.9922, 7.1062, -2.5947}) -
         0.54549e-4 * std::exp(124.23 * y - 114.2593);
}
// Mohtat et al. 2020 (looked up; that it is 532 from memory).
double Nickel532(double y) {
  return Polynomial(y, {4.3452, -1.6518, 1.6225, -2.0843, 3.5146, -2.2166}) -
         0.5623e-4 * std::exp(109.451 * y - 100.006);
}
// Kim et al. 2011 (looked up).
double NickelCobaltAluminium(double y) {
  return Polynomial(y, {11.8058, -66.3691, 264.427, -554.774, 621.3475, -344.566, 81.246, -23.488,
                        15.056, -2.222, 1.638}) -
         0.61386 * std::exp(5.8201 * std::pow(y, 136.4));
}
// Doyle et al. 1996, J. Electrochem. Soc. 143 1890 (looked up).
double ManganeseSpinel(double y) {
  return 4.19829 + 0.0565661 * std::tanh(-14.5546 * y + 8.60942) -
         0.0275479 * (std::pow(0.998432 - y, -0.492465) - 1.90111) -
         0.157123 * std::exp(-0.04738 * std::pow(y, 8)) + 0.810239 * std::exp(-40 * (y - 0.133875));
}

// Both electrodes, and what they hold at no and at full charge: 532 and NCA by the published
// amounts (looked up, computed), the others chosen for the usual end voltages.
struct CurveRow {
  const char* name;
  double (*positive)(double);
  double (*negative)(double);
  double x_empty, x_full, y_empty, y_full;
};
constexpr CurveRow kCurves[] = {
    {"nmc111", Nickel111, PlainGraphite, .010, .850, .9880, .3866},
    {"nmc532", Nickel532, PlainGraphite, .0017, .8334, .8907, .0335},
    {"nmc622", Nickel622, GraphiteOfSites, .010, .850, .9983, .1354},
    {"nmc811", NmcPositiveVolt, PlainGraphite, .010, .850, .9800, .2640},
    {"nmc811-silicon", NmcPositiveVolt, NmcNegativeVolt, .0263, .9014, .8540, .2700},
    {"nca", NickelCobaltAluminium, GraphiteOfNca, .0695, .6875, .9817, .3514},
    {"lmo", ManganeseSpinel, PlainGraphite, .010, .800, .990, .1726},
};

OpenCurve Tabulated(const CurveRow& row) {
  std::vector<double> volts;
  for (int i = 0; i <= kSteps; ++i) {
    const double charge = static_cast<double>(i) / kSteps;
    volts.push_back(row.positive(row.y_empty + (row.y_full - row.y_empty) * charge) -
                    row.negative(row.x_empty + (row.x_full - row.x_empty) * charge));
  }
  return OpenCurve(row.name, std::move(volts));
}

struct Point {
  double percent, volt;
};

std::optional<std::vector<Point>> PointsOf(std::string_view text) {
  std::vector<Point> points;
  for (const std::string& part : Split(text, ',')) {
    const std::string_view pair = Trim(part);
    const std::size_t blank = pair.find(' ');
    if (blank == std::string_view::npos) return std::nullopt;
    const auto percent = ParseDouble(pair.substr(0, blank));
    const auto volt = ParseDouble(Trim(pair.substr(blank + 1)));
    if (!percent.ok() || !volt.ok()) return std::nullopt;
    if (!points.empty() && (*percent <= points.back().percent || *volt <= points.back().volt)) {
      return std::nullopt;
    }
    points.push_back({*percent, *volt});
  }
  const bool whole = points.size() >= 4 && points.front().percent == 0 &&
                     points.back().percent == 100 && points.front().volt > 0.5;
  return whole ? std::optional(points) : std::nullopt;
}

}  // namespace

OpenCurve::OpenCurve(std::string name, std::vector<double> volts)
    : name_(std::move(name)), volts_(std::move(volts)) {}

double OpenCurve::VoltAt(double charge) const {
  const auto last = static_cast<double>(volts_.size() - 1);
  const double place = std::clamp(charge, -kBeyond, 1 + kBeyond) * last;
  const auto index = static_cast<std::size_t>(std::clamp(std::floor(place), 0.0, last - 1));
  const double part = place - static_cast<double>(index);
  return volts_[index] + part * (volts_[index + 1] - volts_[index]);
}

double OpenCurve::ChargeAt(double volt) const {
  double low = -kBeyond;
  double high = 1 + kBeyond;
  for (int i = 0; i < 40; ++i) {
    const double middle = (low + high) / 2;
    (VoltAt(middle) < volt ? low : high) = middle;
  }
  return (low + high) / 2;
}

double OpenCurve::Slope(double charge) const {
  return (VoltAt(charge + kSlopeHalf) - VoltAt(charge - kSlopeHalf)) / (2 * kSlopeHalf);
}

const std::vector<OpenCurve>& PublishedCurves() {
  static const std::vector<OpenCurve> curves = [] {
    std::vector<OpenCurve> all;
    for (const CurveRow& row : kCurves) all.push_back(Tabulated(row));
    return all;
  }();
  return curves;
}

std::vector<OpenCurve> CurvesOf(Chemistry chemistry) {
  std::vector<OpenCurve> curves;
  if (chemistry == Chemistry::kLfp) return curves;
  for (const OpenCurve& curve : PublishedCurves()) {
    if (chemistry == Chemistry::kUnknown || curve.name().starts_with("nmc")) {
      curves.push_back(curve);
    }
  }
  return curves;
}

std::optional<OpenCurve> CurveOfText(std::string_view text) {
  for (const OpenCurve& curve : PublishedCurves()) {
    if (curve.name() == text) return curve;
  }
  const auto points = PointsOf(text);
  if (!points) return std::nullopt;
  std::vector<double> volts;
  std::size_t at = 0;
  for (int i = 0; i <= kSteps; ++i) {
    const double percent = 100.0 * i / kSteps;
    while (at + 2 < points->size() && (*points)[at + 1].percent < percent) ++at;
    const Point &a = (*points)[at], &b = (*points)[at + 1];
    volts.push_back(a.volt + (percent - a.percent) / (b.percent - a.percent) * (b.volt - a.volt));
  }
  return OpenCurve("the table of pack.curve", std::move(volts));
}

}  // namespace proofdrive::analysis
