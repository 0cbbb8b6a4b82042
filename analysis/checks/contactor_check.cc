#include "analysis/checks/contactor_check.h"

#include <algorithm>
#include <cmath>

#include "analysis/physics/precharge.h"
#include "analysis/statistics/robust.h"
#include "analysis/statistics/summaries.h"

namespace proofdrive::analysis {
namespace {

using decoders::Meaning;

constexpr double kPackAge = 2;  // s
constexpr std::size_t kGoodReadings = 10;
constexpr double kUpShare = 0.90;  // of pack voltage: the link is up
constexpr double kDownShare = 0.5;
constexpr double kOpenSeconds = 8;    // open this long before a link that is up means a weld
constexpr double kFallsShare = 0.02;  // it falls by this much: no weld
// A rise from half to nine tenths within this needs a time constant below 31 ms; pre-charges take
// 0.5 - 2 s (published).
constexpr double kJumpSeconds = 0.05;
constexpr double kTogether = 0.1;  // s by which frames of one moment may differ
constexpr double kSettle = 1;      // s after closing
constexpr double kLoadSpan = 20;   // A

// ln(1 - v/V) against time with both ends free, late readings counting least: V is known, the
// voltage it begins with is not.
double FitTau(const Track& link, double pack_v) {
  double w = 0, wx = 0, wy = 0, wxx = 0, wxy = 0;
  for (std::size_t i = 0; i < link.size(); ++i) {
    const double left = 1 - link.value[i] / pack_v;
    if (left < 0.02) continue;
    const double x = link.time_s[i];
    const double y = std::log(left);
    const double weight = left * left;
    w += weight;
    wx += weight * x;
    wy += weight * y;
    wxx += weight * x * x;
    wxy += weight * x * y;
  }
  const double slope = (w * wxy - wx * wy) / (w * wxx - wx * wx);
  return slope < 0 ? -1 / slope : 0;
}

// Where the voltage is heading, from three equally spaced stretches of the rise.
double FitEnd(const Track& link) {
  const Track thirds = BinMedians(link, 3);
  if (thirds.size() < 3) return 0;
  const auto fit = PrechargeOfThree(thirds.value[0], thirds.value[1], thirds.value[2],
                                    thirds.time_s[1] - thirds.time_s[0]);
  return fit ? fit->end_v : 0;
}

// The link is up at once when its pre-charge begins: nothing limits the current, so the contactor
// beside the resistor is closed already. As far as one link voltage can show it.
bool JudgeOnePole(CheckDraft& draft, const Interval& time, double pack_v, const Track& link) {
  // The state may come a little after the link.
  const Track rise = Between(link, time.from_s - kTogether, time.to_s + kTogether);
  for (std::size_t i = 1; i < rise.size(); ++i) {
    const double from = rise.value[i - 1] / pack_v;
    const double to = rise.value[i] / pack_v;
    if (from > kDownShare || to < kUpShare || rise.time_s[i] - rise.time_s[i - 1] > kJumpSeconds) {
      continue;
    }
    draft.Judge(CheckStatus::kLookCloser,
                "at closing the link jumped from " + Spoken(100 * from) + " to " +
                    Spoken(100 * to) +
                    " % of pack voltage at once: the contactor beside the resistor is closed "
                    "already (one pole welded), or the link voltage is sent late");
    return true;
  }
  return false;
}

// Also where the pre-charge was too short to be sent.
void JudgePoles(CheckDraft& draft, const Intervals& charging, const Intervals& closed,
                const Track& link, const Track& pack) {
  for (const Intervals* times : {&charging, &closed}) {
    for (const Interval& one : *times) {
      const double end = times == &closed ? one.from_s : one.to_s;
      const auto volt = ValueAt(pack, end, kPackAge);
      if (!volt || *volt <= 0) continue;
      if (JudgeOnePole(draft, {one.from_s, end}, *volt, link)) return;
    }
  }
}

// The link comes up while everything is said to be open.
void JudgeRisesOpen(CheckDraft& draft, const Intervals& open, const Track& link,
                    const Track& pack) {
  for (const Interval& one : open) {
    const Track part = Between(link, one.from_s, one.to_s - 1e-9);
    const auto volt = ValueAt(pack, one.to_s, kPackAge);
    if (part.size() < 3 || !volt || *volt <= 0) continue;
    const auto low = std::min_element(part.value.begin(), part.value.end());
    const double most = *std::max_element(low, part.value.end());
    if (*low > kDownShare * *volt || most < kUpShare * *volt) continue;
    draft.Judge(CheckStatus::kLookCloser,
                "the link rose to " + Spoken(100 * most / *volt) +
                    " % of pack voltage with the contactors said to be open: one pole is welded "
                    "and the other closed, or the state comes late");
    return;
  }
}

// With a known resistor: what it charges, and the load that keeps the link from coming up.
void TellCapacitance(CheckDraft& draft, double tau_s) {
  if (draft.settings().Get("precharge.resistor") <= 0) return;
  const double ohm = draft.Limit("precharge.resistor");
  draft.Add("link_capacitance", 1000 * LinkFarad(tau_s, ohm), "mF",
            "time constant over precharge.resistor; a load left on makes it look smaller");
}

void TellLoad(CheckDraft& draft, const Precharge& failed) {
  const double ohm = draft.settings().Get("precharge.resistor");
  const double load_ohm = LoadOf(ohm, failed.rest_share);
  if (ohm <= 0 || load_ohm <= 0) return;
  draft.Add("load_left_on", load_ohm, "ohm",
            "that would end a pre-charge at " + Spoken(100 * failed.rest_share) +
                " % of pack voltage, where this one was heading");
}

void JudgePrecharge(CheckDraft& draft, const std::vector<Precharge>& charges) {
  std::size_t failed = 0;
  double lowest = 1;
  double longest = 0;
  std::vector<double> taus;
  Intervals used;
  for (const Precharge& one : charges) {
    used.push_back(one.time);
    failed += one.closed ? 0 : 1;
    if (one.tau_s > 0) taus.push_back(one.tau_s);
    longest = std::max(longest, one.time.length());
    if (one.closed) lowest = std::min(lowest, one.end_share);
  }
  draft.Used("pre-charges", used);
  draft.Add("precharges", static_cast<double>(charges.size()), "", "attempts");
  draft.Add("precharges_failed", static_cast<double>(failed), "", "ended without closing");
  draft.Add("precharge_longest", longest, "s", "from its command to its end");
  if (!taus.empty()) {
    draft.Add("precharge_tau", Median(taus), "s",
              charges.front().readings < kGoodReadings ? "coarse: few readings per time constant"
                                                       : "weighted fit of ln(1 - link/pack)");
    TellCapacitance(draft, Median(taus));
  }
  if (failed > 0) {
    const Precharge& bad = *std::find_if(charges.begin(), charges.end(),
                                         [](const Precharge& one) { return !one.closed; });
    draft.Judge(CheckStatus::kOutside,
                std::to_string(failed) + " of " + std::to_string(charges.size()) +
                    " pre-charges did not end in closing; the link reached " +
                    Spoken(100 * bad.end_share) +
                    " % of pack voltage: a load left on, the resistor, or a refusal");
    TellLoad(draft, bad);
  }
  if (failed == charges.size()) return;
  draft.Add("closing_share", 100 * lowest, "%",
            "lowest link voltage at closing, of pack voltage; the last reading before it, up to a "
            "period old");
  const double usual = draft.Limit("precharge.close");
  const std::string text =
      "the main contactor closed at " + Spoken(100 * lowest) + " % of pack voltage";
  // The last reading is up to a period older than the closing.
  if (100 * lowest < draft.Limit("precharge.least")) {
    draft.Judge(CheckStatus::kOutside, text);
  } else if (100 * lowest < usual - 1) {
    draft.Judge(CheckStatus::kLookCloser, text + ", usual is " + Spoken(usual) + " %");
  } else {
    draft.Judge(CheckStatus::kWithin, text);
  }
  if (longest > draft.Limit("precharge.longest")) {
    draft.Judge(CheckStatus::kLookCloser, "a pre-charge took " + SpokenSeconds(longest));
  }
}

// Open, and the link does not leave the pack.
void JudgeWeld(CheckDraft& draft, const Intervals& open, const Track& link, const Track& pack) {
  for (const Interval& one : open) {
    if (one.length() < kOpenSeconds + 2) continue;
    const Track late = Between(link, one.from_s + kOpenSeconds, one.to_s);
    const auto volt = ValueAt(pack, one.to_s, kPackAge);
    if (late.size() < 10 || !volt || *volt <= 0) continue;
    const double first = Median(Between(late, late.time_s.front(), late.time_s.front() + 1).value);
    const double last = Median(Between(late, late.time_s.back() - 1, late.time_s.back()).value);
    if (first < kUpShare * *volt || last < kUpShare * *volt || first - last > kFallsShare * *volt)
      continue;
    draft.Judge(CheckStatus::kOutside,
                "the link stays at " + Spoken(100 * last / *volt) + " % of pack voltage " +
                    SpokenSeconds(one.length()) +
                    " after the contactors were told to open: both poles are closed (welded), or "
                    "the state is only a command");
    return;
  }
}

void JudgeBleed(CheckDraft& draft, const Intervals& open, const Intervals& closed,
                const Track& link) {
  const double to_v = draft.Limit("precharge.bleed_v");
  const double most = draft.Limit("precharge.bleed_s");
  for (const Interval& one : open) {
    const bool after_closed = std::any_of(closed.begin(), closed.end(), [&](const Interval& up) {
      return std::fabs(up.to_s - one.from_s) < 1;
    });
    if (!after_closed) continue;
    const Track falling = Between(link, one.from_s, one.to_s);
    const auto below = std::find_if(falling.value.begin(), falling.value.end(),
                                    [to_v](double volt) { return volt < to_v; });
    if (below == falling.value.end()) {
      if (one.length() > most) {
        draft.Judge(CheckStatus::kLookCloser,
                    "the link was above " + Spoken(to_v) + " V still " +
                        SpokenSeconds(one.length()) +
                        " after opening: it falls slowly, its active discharge may not work");
      }
      continue;
    }
    const auto index = static_cast<std::size_t>(below - falling.value.begin());
    const double seconds = falling.time_s[index] - one.from_s;
    draft.Add("bleed_time", seconds, "s", "from opening to " + Spoken(to_v) + " V");
    if (seconds > most) {
      draft.Judge(CheckStatus::kLookCloser,
                  "the link took " + SpokenSeconds(seconds) + " to fall to " + Spoken(to_v) + " V");
    }
  }
}

void JudgeClosed(CheckDraft& draft, const Intervals& closed, const Track& link, const Track& pack) {
  std::vector<double> amps, drops;
  std::vector<double> shares;
  const Track& current = draft.input().TrackOf("pack current");
  const Intervals settled = WithoutHead(closed, kSettle);
  const double link_age = CheckInput::Gap(link);
  const double current_age = CheckInput::Gap(current);
  for (std::size_t i = 0; i < pack.size(); ++i) {
    const double at = pack.time_s[i];
    if (!Contains(settled, at)) continue;
    const auto volt = ValueAt(link, at, link_age);
    if (!volt || pack.value[i] <= 0) continue;
    shares.push_back(*volt / pack.value[i]);
    const auto now = ValueAt(current, at, current_age);
    const auto before = ValueAt(current, at - 0.3, current_age);
    if (!now || !before || std::fabs(*now - *before) > 3) continue;
    amps.push_back(*now);
    drops.push_back(pack.value[i] - *volt);
  }
  if (shares.size() < 5) return;
  if (Median(shares) < kDownShare) {
    draft.Judge(CheckStatus::kOutside,
                "the contactors say closed, and the link has " + Spoken(100 * Median(shares)) +
                    " % of pack voltage: an open contactor, fuse, service or crash disconnect");
    return;
  }
  if (amps.empty()) return;
  const auto [low, high] = std::minmax_element(amps.begin(), amps.end());
  if (*high - *low < kLoadSpan) return;
  const double mohm = 1000 * LeastSquares(amps, drops).slope;
  draft.Add("contact_resistance", mohm, "mohm", "pack less link voltage against current");
  if (mohm > draft.Limit("contactor.ohm")) {
    draft.Judge(CheckStatus::kLookCloser, "closed contactors have " + Spoken(mohm) +
                                              " mohm: worn contacts, or a joint between the two "
                                              "places of measuring");
  }
}

// The one that failed, else the first.
void DrawPrecharge(CheckDraft& draft, const std::vector<Precharge>& charges, const Track& link) {
  const auto failed = std::find_if(charges.begin(), charges.end(),
                                   [](const Precharge& one) { return !one.closed; });
  const Precharge& one = failed == charges.end() ? charges.front() : *failed;
  Curve curve{"pre-charge curve", "time", "s", "link voltage", "V", {}, {}};
  const Track rise = Between(link, one.time.from_s - 0.1, one.time.to_s + 0.1);
  for (std::size_t i = 0; i < rise.size(); ++i) {
    curve.x.push_back(rise.time_s[i] - one.time.from_s);
    curve.y.push_back(rise.value[i]);
  }
  const double usual = draft.settings().Get("precharge.close");
  curve.levels = {{one.pack_v * usual / 100, Spoken(usual) + " % of the pack"}};
  draft.Add(std::move(curve));
}

}  // namespace

std::vector<Precharge> PrechargesOf(const Intervals& charging, const Intervals& closed,
                                    const Track& link, const Track& pack) {
  std::vector<Precharge> charges;
  for (const Interval& interval : charging) {
    Precharge one;
    one.time = interval;
    one.closed = std::any_of(closed.begin(), closed.end(), [&](const Interval& up) {
      return std::fabs(up.from_s - interval.to_s) < 0.5;
    });
    const auto volt = ValueAt(pack, interval.to_s, kPackAge);
    const Track rise = Between(link, interval.from_s, interval.to_s - 1e-9);
    if (!volt || *volt <= 0 || rise.empty()) continue;
    one.pack_v = *volt;
    one.readings = rise.size();
    one.end_share = rise.value.back() / *volt;
    if (rise.size() >= 4) {
      one.tau_s = FitTau(rise, *volt);
      one.rest_share = FitEnd(rise) / *volt;
    }
    charges.push_back(one);
  }
  return charges;
}

void CheckContactors(CheckDraft& draft) {
  draft.Alike("a state that is the command and not the contact");
  draft.Alike("a link voltage whose sensor sleeps until the contactors close");
  draft.Alike(
      "the pole without the resistor welded alone: one link voltage looks the same then; only the "
      "voltages of both its ends against the body would show it");
  draft.Alike("a link that falls slowly by its passive resistor only: not welded, but not empty");
  const CheckInput& input = draft.input();
  const Track& link = input.TrackOf("link voltage");
  const Track& pack = input.TrackOf("pack voltage");
  const Intervals closed = input.WhereState("contactor state", {Meaning::kClosed});
  const Intervals charging = input.WhereState("contactor state", {Meaning::kPrecharging});
  const Intervals open = input.WhereState("contactor state", {Meaning::kOpen});
  if (!input.WhereState("contactor state", {Meaning::kWelded}).empty()) {
    draft.Judge(CheckStatus::kOutside, "the car itself says that a contactor is welded");
  }
  draft.Add("closings", static_cast<double>(closed.size()), "", "of the main contactors seen");
  const auto charges = PrechargesOf(charging, closed, link, pack);
  if (charges.empty()) {
    draft.Missing("a pre-charge: record while high voltage is switched on");
  } else {
    JudgePrecharge(draft, charges);
    DrawPrecharge(draft, charges, link);
  }
  JudgeWeld(draft, open, link, pack);
  JudgePoles(draft, charging, closed, link, pack);
  JudgeRisesOpen(draft, open, link, pack);
  JudgeBleed(draft, open, closed, link);
  JudgeClosed(draft, closed, link, pack);
  if (open.size() + closed.size() < 3) draft.Missing("an opening, to see the link fall");
}

}  // namespace proofdrive::analysis
