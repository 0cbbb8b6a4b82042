#include "analysis/checks/capacity_check.h"

#include <algorithm>
#include <cmath>

#include "analysis/checks/parts/charge_by_voltage.h"
#include "analysis/checks/parts/clipped_current.h"
#include "analysis/checks/parts/rest_capacity.h"
#include "analysis/physics/charge_count.h"
#include "core/base/text.h"

namespace proofdrive::analysis {
namespace {

constexpr double kMostUnknown = 0.05;  // of the charge counted, while nothing was received
constexpr double kMostGap = 2;         // s that driving counts for at most
constexpr double kChargeError = 0.01;  // of a charge from a rested voltage (proposal)
constexpr double kSameCharge = 0.02;   // of two rests between which efficiency is counted
constexpr double kLeastDrive = 0.5;    // km
constexpr double kMovingKmh = 1;
constexpr double kSmallSwing = 0.7;  // of capacity.swing, by the curve with the smallest
constexpr double kSure = 2;          // standard deviations, to accuse
constexpr double kBeyondNew = 1.1;   // of the capacity when new: no pack holds so much (proposal)

// The cell that gives least between both points.
void TellWeakest(CheckDraft& draft, const OpenCurve& curve, const RestPoint& a, const RestPoint& b,
                 double ah) {
  double least = 0;
  std::size_t weakest = 0;
  for (std::size_t i = 0; i < std::min(a.volts.size(), b.volts.size()); ++i) {
    if (std::isnan(a.volts[i]) || std::isnan(b.volts[i])) continue;
    const double swing = std::fabs(curve.ChargeAt(a.volts[i]) - curve.ChargeAt(b.volts[i]));
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

constexpr char kNameCurve[] =
    "the curve of its cells (pack.curve: a published one or a table), so that one answer is left";

// What a span of curves says, and nothing that only some of them say.
void JudgeShare(CheckDraft& draft, const CapacitySpan& span) {
  const double nominal = draft.settings().Get("pack.capacity");
  const bool one = span.curves.size() == 1;
  if (!one) draft.Missing(kNameCurve);
  if (nominal <= 0) {
    draft.Missing("the capacity when new (pack.capacity), to judge it");
    return;
  }
  draft.Limit("pack.capacity");
  const double low = 100 * span.low_ah / nominal, high = 100 * span.high_ah / nominal;
  draft.Add("capacity_share", (low + high) / 2, "%", "of pack.capacity",
            std::hypot((high - low) / std::sqrt(12.0), 100 * span.error_ah / nominal));
  const double least = draft.Limit("capacity.least"), look = draft.Limit("capacity.look");
  std::string text = "the pack holds " + RangeText(span.low_ah, span.high_ah) + " +- " +
                     Spoken(span.error_ah) + " Ah, " + RangeText(low, high) +
                     " % of what it held when new";
  if (!one) text += ", by " + CountOf(span.curves.size(), "curve") + " that its cells may follow";
  const double error = 100 * span.error_ah / nominal;
  if (low > 100 * kBeyondNew) {
    draft.Judge(CheckStatus::kCannotTell,
                text + ": more than it can; pack.curve or pack.capacity is wrong");
  } else if (high + kSure * error < least) {
    draft.Judge(CheckStatus::kOutside, text);
  } else if (high + error < look) {
    draft.Judge(CheckStatus::kLookCloser, text);
  } else if (low - error >= look) {
    draft.Judge(CheckStatus::kWithin, text);
  } else {
    draft.Judge(CheckStatus::kCannotTell,
                text + (one ? ": too uncertain to tell" : "; pack.curve would tell"));
  }
}

void JudgeCapacity(CheckDraft& draft, const std::vector<OpenCurve>& curves, const RestPoint& a,
                   const RestPoint& b) {
  const Track current = Between(draft.input().TrackOf("pack current"), a.at_s, b.at_s);
  const double ah = Trapezoid(current.time_s, current.value) / 3600;
  const double unknown = UnknownCharge(current, draft.settings().Get("rest.current"));
  draft.Add("charge_moved", ah, "Ah", "counted between the two rests, positive = discharge",
            unknown);
  if (unknown > kMostUnknown * std::fabs(ah)) {
    draft.Missing("current without gaps of more than " + Spoken(kMostGap) +
                  " s under load between the two rests");
    return;
  }
  const double nominal = draft.settings().Get("pack.capacity");
  const RoleSignal* cells = draft.input().Find("cell voltages");
  const auto span = CapacityBy(curves, a, b, ah, unknown, cells->step, kBeyondNew * nominal);
  if (!span) {
    draft.Missing("a curve by which the pack does not hold more than it can (pack.curve)");
    return;
  }
  const double swing = 50 * (span->low_swing + span->high_swing);
  draft.Add("charge_swing", swing, "%", "by the rested voltage of the median cell",
            100 * (span->high_swing - span->low_swing) / std::sqrt(12.0));
  const double needed = draft.Limit("capacity.swing") / 100;
  if (span->high_swing < needed || span->low_swing < kSmallSwing * needed) {
    draft.Missing("a larger change of charge between two rests (it was " + Spoken(swing) +
                  " %): small ones give no capacity");
    return;
  }
  draft.Used("from rest to rest", {{a.at_s, b.at_s}});
  draft.Add("capacity", (span->low_ah + span->high_ah) / 2, "Ah",
            span->curves.size() == 1
                ? "of the median cell, by " + span->curves.front()
                : "of the median cell, the middle of " + CountOf(span->curves.size(), "curve"),
            std::hypot((span->high_ah - span->low_ah) / std::sqrt(12.0), span->error_ah));
  if (curves.size() == 1) TellWeakest(draft, curves.front(), a, b, ah);
  JudgeShare(draft, *span);
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
void TellEfficiency(CheckDraft& draft, const OpenCurve& curve,
                    const std::vector<RestPoint>& points) {
  const CheckInput& input = draft.input();
  const double nominal = draft.settings().Get("pack.capacity");
  if (nominal <= 0 || input.TrackOf("pack voltage").empty()) return;
  const double least_ah = draft.settings().Get("capacity.swing") / 100 * nominal;
  for (std::size_t i = 0; i < points.size(); ++i) {
    for (std::size_t j = points.size(); j-- > i + 1;) {
      const RestPoint &a = points[i], &b = points[j];
      const double apart = curve.ChargeAt(a.middle_v) - curve.ChargeAt(b.middle_v);
      if (std::fabs(apart) > kSameCharge) continue;
      const Moved moved = MovedBetween(input, a.at_s, b.at_s);
      const double unknown = UnknownCharge(Between(input.TrackOf("pack current"), a.at_s, b.at_s),
                                           draft.settings().Get("rest.current"));
      if (moved.ah_in < least_ah || unknown > kChargeError * moved.ah_in) continue;
      // What the rests differ by went neither out nor in.
      const double rest_ah = apart * nominal;
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
  const CheckSettings& settings = draft.settings();
  if (settings.chemistry() == Chemistry::kLfp && !settings.curve()) {
    draft.Missing("a chemistry whose voltage shows its charge: iron phosphate has a plateau");
    return;
  }
  const auto points = RestPoints(draft);
  if (points.size() < 2) {
    draft.Missing("two rests of " + SpokenSeconds(3600 * settings.Get("rest.hours")) +
                  " or more (three times as long below 20 degC, six times below 0 degC) with a "
                  "discharge or charge between them");
    return;
  }
  const ClippedCurrent clipped =
      WithoutClipped(*draft.input().Find("pack current"), draft.input().TrackOf("pack voltage"));
  if (clipped.values > 0) {
    draft.Missing("a current sensor that does not end at " + Spoken(clipped.at_a) +
                  " A: more flowed than was counted");
    return;
  }
  const auto by_volt = [](const RestPoint& a, const RestPoint& b) {
    return a.middle_v < b.middle_v;
  };
  const auto [low, high] = std::minmax_element(points.begin(), points.end(), by_volt);
  const auto curves = CurvesHere(draft, high->middle_v);
  if (curves.empty()) return;
  TellEfficiency(draft, curves.front(), points);
  JudgeCapacity(draft, curves, low->at_s < high->at_s ? *low : *high,
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
