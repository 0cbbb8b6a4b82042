#include "analysis/checks/capacity_check.h"

#include <algorithm>
#include <cmath>

#include "analysis/checking/rest.h"
#include "analysis/physics/cell_curve.h"
#include "analysis/physics/charge_count.h"
#include "analysis/statistics/summaries.h"

namespace proofdrive::analysis {
namespace {

constexpr double kTail = 30;           // s of a rest that are used
constexpr double kMostGap = 2;         // s without current that make a count invalid
constexpr double kChargeError = 0.01;  // of a charge from a rested voltage (proposal)
constexpr double kSameCharge = 0.02;   // of two rests between which efficiency is counted
constexpr double kLeastDrive = 0.5;    // km
constexpr double kMovingKmh = 1;

struct RestPoint {
  double at_s = 0;
  std::vector<double> volts;
  double charge = 0;  // of the median cell
};

double MedianOf(const std::vector<double>& volts) {
  std::vector<double> known;
  for (const double volt : volts) {
    if (!std::isnan(volt)) known.push_back(volt);
  }
  return Median(std::move(known));
}

std::vector<RestPoint> RestPoints(CheckDraft& draft) {
  std::vector<RestPoint> points;
  const double needed = 3600 * draft.Limit("rest.hours");
  for (const Interval& rest : RestingTime(draft.input(), draft.settings())) {
    if (RestedSeconds(rest, draft.settings()) < needed) continue;
    RestPoint point;
    point.at_s = rest.to_s;
    point.volts = RestedCells(draft.input(), rest, kTail);
    const auto charge = ChargeOf(draft.settings().chemistry(), MedianOf(point.volts));
    if (!charge) continue;
    point.charge = *charge;
    points.push_back(std::move(point));
  }
  return points;
}

double LongestGap(const Track& track) {
  double gap = 0;
  for (std::size_t i = 1; i < track.size(); ++i) {
    gap = std::max(gap, track.time_s[i] - track.time_s[i - 1]);
  }
  return gap;
}

// The cell that gives least between both points.
void TellWeakest(CheckDraft& draft, const RestPoint& a, const RestPoint& b, double ah) {
  double least = 0;
  std::size_t weakest = 0;
  for (std::size_t i = 0; i < std::min(a.volts.size(), b.volts.size()); ++i) {
    if (std::isnan(a.volts[i]) || std::isnan(b.volts[i])) continue;
    const double swing = std::fabs(NmcChargeOf(a.volts[i]) - NmcChargeOf(b.volts[i]));
    if (swing <= 0) continue;
    const double capacity = std::fabs(ah) / swing;
    if (least == 0 || capacity < least) {
      least = capacity;
      weakest = i + 1;
    }
  }
  if (least <= 0) return;
  draft.Add("weakest_cell_capacity", least, "Ah",
            "of cell " + std::to_string(weakest) + ", by its own rested voltages");
}

void JudgeCapacity(CheckDraft& draft, const RestPoint& a, const RestPoint& b) {
  const Track current = Between(draft.input().TrackOf("pack current"), a.at_s, b.at_s);
  if (LongestGap(current) > kMostGap) {
    draft.Missing("current without a gap of more than " + Spoken(kMostGap) +
                  " s between the two rests");
    return;
  }
  const double ah = Trapezoid(current.time_s, current.value) / 3600;
  const double swing = 100 * std::fabs(a.charge - b.charge);
  draft.Add("charge_moved", ah, "Ah", "counted between the two rests, positive = discharge");
  draft.Add("charge_swing", swing, "%", "by the rested voltage of the median cell");
  if (swing < draft.Limit("capacity.swing")) {
    draft.Missing("a larger change of charge between two rests (it was " + Spoken(swing) +
                  " %): small ones give no capacity");
    return;
  }
  CountErrors errors;
  errors.charge = kChargeError;
  const Capacity capacity =
      CapacityBetween(ah, a.charge, b.charge, (b.at_s - a.at_s) / 3600, errors);
  draft.Used("from rest to rest", {{a.at_s, b.at_s}});
  draft.Add("capacity", capacity.ah, "Ah", "of the median cell", capacity.uncertainty_ah);
  TellWeakest(draft, a, b, ah);
  const double nominal = draft.settings().Get("pack.capacity");
  if (nominal <= 0) {
    draft.Missing("the capacity when new (pack.capacity), to judge it");
    return;
  }
  draft.Limit("pack.capacity");
  const double percent = 100 * capacity.ah / nominal;
  draft.Add("capacity_share", percent, "%", "of pack.capacity",
            100 * capacity.uncertainty_ah / nominal);
  const std::string text = "the pack holds " + Spoken(capacity.ah) + " +- " +
                           Spoken(capacity.uncertainty_ah) + " Ah, " + Spoken(percent) +
                           " % of what it held when new";
  draft.Judge(percent < draft.Limit("capacity.least")  ? CheckStatus::kOutside
              : percent < draft.Limit("capacity.look") ? CheckStatus::kLookCloser
                                                       : CheckStatus::kWithin,
              text);
}

// Over the whole recording, whatever the charge did.
void TellCount(CheckDraft& draft) {
  const Track& amps = draft.input().TrackOf("pack current");
  const Track& volts = draft.input().TrackOf("pack voltage");
  if (amps.size() < 2) return;
  draft.Used("count of charge and energy", {{amps.time_s.front(), amps.time_s.back()}});
  draft.Add("charge_counted", Trapezoid(amps.time_s, amps.value) / 3600, "Ah",
            "current over time by trapezoids, positive = discharge");
  if (volts.empty()) return;
  const double age = CheckInput::Gap(volts);
  Track watts;
  for (std::size_t i = 0; i < amps.size(); ++i) {
    if (const auto volt = ValueAt(volts, amps.time_s[i], age)) {
      watts.Add(amps.time_s[i], *volt * amps.value[i]);
    }
  }
  draft.Add("energy_counted", Trapezoid(watts.time_s, watts.value) / 3.6e6, "kWh",
            "the same of voltage times current");
}

// Charge and energy that went out and came in between two times.
struct Moved {
  double ah_out = 0, ah_in = 0, wh_out = 0, wh_in = 0;
};

Moved MovedBetween(const CheckInput& input, double from_s, double to_s) {
  const Track amps = Between(input.TrackOf("pack current"), from_s, to_s);
  const Track& volts = input.TrackOf("pack voltage");
  const double age = CheckInput::Gap(volts);
  Moved moved;
  for (std::size_t i = 1; i < amps.size(); ++i) {
    const auto volt = ValueAt(volts, amps.time_s[i], age);
    if (!volt) continue;
    const double ah =
        (amps.value[i] + amps.value[i - 1]) / 2 * (amps.time_s[i] - amps.time_s[i - 1]) / 3600;
    (ah > 0 ? moved.ah_out : moved.ah_in) += std::fabs(ah);
    (ah > 0 ? moved.wh_out : moved.wh_in) += std::fabs(ah) * *volt;
  }
  return moved;
}

// Between two rests with the same rested voltage and a charge between them. Gaps make it invalid.
void TellEfficiency(CheckDraft& draft, const std::vector<RestPoint>& points) {
  const CheckInput& input = draft.input();
  const double nominal = draft.settings().Get("pack.capacity");
  if (nominal <= 0 || input.TrackOf("pack voltage").empty()) return;
  const double least_ah = draft.settings().Get("capacity.swing") / 100 * nominal;
  for (std::size_t i = 0; i < points.size(); ++i) {
    for (std::size_t j = points.size(); j-- > i + 1;) {
      const RestPoint &a = points[i], &b = points[j];
      if (std::fabs(a.charge - b.charge) > kSameCharge) continue;
      const Moved moved = MovedBetween(input, a.at_s, b.at_s);
      if (moved.ah_in < least_ah ||
          LongestGap(Between(input.TrackOf("pack current"), a.at_s, b.at_s)) > kMostGap) {
        continue;
      }
      // What the rests differ by went neither out nor in.
      const double rest_ah = (a.charge - b.charge) * nominal;
      const Efficiency efficiency =
          EfficiencyOf(moved.ah_in + rest_ah, moved.ah_out, moved.wh_in, moved.wh_out);
      const double error = std::sqrt(2.0) * kChargeError * nominal / moved.ah_in;
      draft.Add("charge_efficiency", 100 * efficiency.charge, "%",
                "Ah out over Ah in between equal rested voltages; sound lithium cells have more "
                "than 99 % (published), so less is mostly the current sensor",
                100 * error);
      draft.Add("energy_efficiency", 100 * efficiency.energy, "%", "Wh out over Wh in");
      return;
    }
  }
}

void FindCapacity(CheckDraft& draft) {
  if (draft.settings().chemistry() == Chemistry::kUnknown) {
    draft.Missing("the chemistry (pack.chemistry), to know the charge from a rested voltage");
    return;
  }
  if (draft.settings().chemistry() == Chemistry::kLfp) {
    draft.Missing("a chemistry whose voltage shows its charge: iron phosphate has a plateau");
    return;
  }
  const auto points = RestPoints(draft);
  if (points.size() < 2) {
    draft.Missing("two rests of " + SpokenSeconds(3600 * draft.settings().Get("rest.hours")) +
                  " or more with a discharge or charge between them");
    return;
  }
  TellEfficiency(draft, points);
  const auto by_charge = [](const RestPoint& a, const RestPoint& b) { return a.charge < b.charge; };
  const auto [low, high] = std::minmax_element(points.begin(), points.end(), by_charge);
  JudgeCapacity(draft, low->at_s < high->at_s ? *low : *high,
                low->at_s < high->at_s ? *high : *low);
}

double Kilometres(const CheckInput& input) {
  const Track& speed = input.TrackOf("vehicle speed");
  return Trapezoid(speed.time_s, speed.value) / 3600;
}

void TellDrive(CheckDraft& draft) {
  const CheckInput& input = draft.input();
  const Track& volts = input.TrackOf("pack voltage");
  const Track& amps = input.TrackOf("pack current");
  const Track& speed = input.TrackOf("vehicle speed");
  if (volts.empty() || speed.empty()) return;
  const double km = Kilometres(input);
  if (km < kLeastDrive) return;
  double out = 0;
  double back = 0;
  double age = CheckInput::Gap(volts);
  for (std::size_t i = 1; i < amps.size(); ++i) {
    const auto volt = ValueAt(volts, amps.time_s[i], age);
    const auto kmh = ValueAt(speed, amps.time_s[i], 1);
    if (!volt || !kmh || *kmh < kMovingKmh) continue;
    const double seconds = std::min(amps.time_s[i] - amps.time_s[i - 1], kMostGap);
    const double wh = *volt * amps.value[i] * seconds / 3600;
    (wh > 0 ? out : back) += wh;
  }
  if (out <= 0) return;
  draft.Add("distance", km, "km", "from the speed");
  draft.Add("drive_energy", (out + back) / km, "Wh/km", "taken out less given back while moving");
  draft.Add("regenerated", -100 * back / out, "%", "given back, of what was taken out");
}

}  // namespace

void CheckCapacity(CheckDraft& draft) {
  draft.Alike("a current sensor that is off by a per cent, or off at zero");
  draft.Alike("a displayed state of charge that is counted itself: it is not used here");
  draft.Alike("one weak cell: it ends the discharge although the others hold more");
  TellCount(draft);
  FindCapacity(draft);
  TellDrive(draft);
}

}  // namespace proofdrive::analysis
