#include "analysis/checks/precharge_check.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "analysis/physics/precharge.h"
#include "analysis/statistics/neighbour_noise.h"
#include "analysis/statistics/robust.h"
#include "analysis/statistics/summaries.h"

namespace proofdrive::analysis {
namespace {

using decoders::Meaning;

constexpr double kPackAge = 2;  // s
constexpr std::size_t kGoodReadings = 10;
constexpr double kDownShare = 0.5;
// A rise with a time constant below this has no resistor in its way: 30 ohm (published) and 0.5 mF
// (proposal) make 15 ms.
constexpr double kJumpTau = 0.008;
constexpr double kMostShare = 0.97;    // nearer to the end a reading says nothing of the rise
constexpr double kRising = 0.1;        // of it: the rise has begun
constexpr double kFaster = 1.3;        // times; less is noise
constexpr double kFullMoves = 0.005;   // of the link, within a second after closing (proposal)
constexpr std::size_t kInTheJump = 3;  // readings that may fall into a jump
constexpr double kLinkUp = 0.98;       // of the link when closed: it is up
constexpr double kLate = 0.5;          // s by which a state may come late
constexpr double kStateLate = 0.25;    // s, of a state whose link is up: no proof before that
constexpr double kTogether = 0.1;      // s by which frames of one moment may differ
constexpr double kCertain = 3;         // standard deviations; 1 in 40 cars would be beyond 2

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

// The longest time constant with which the link can have come from one reading to the next; it may
// have begun later.
double LongestTau(double from, double to, double seconds) {
  const double left = 1 - std::min(to, kMostShare);
  return seconds / std::log((1 - std::max(from, 0.0)) / left);
}

struct LinkJump {
  double from = 0, to = 0;  // of pack voltage
};

// The first rise past half of the pack voltage that no resistor allows. A reading or two may fall
// into it, or its sensor follow within some milliseconds.
std::optional<LinkJump> JumpOf(const Track& rise, double pack_v) {
  for (std::size_t i = 1; i < rise.size(); ++i) {
    const double to = rise.value[i] / pack_v;
    for (std::size_t back = 1; back <= std::min(i, kInTheJump + 1); ++back) {
      const double from = rise.value[i - back] / pack_v;
      if (from > kDownShare || to < kDownShare) continue;
      if (LongestTau(from, to, rise.time_s[i] - rise.time_s[i - back]) > kJumpTau) continue;
      return LinkJump{from, to};
    }
  }
  return std::nullopt;
}

// The link is up at once when its pre-charge begins: nothing limits the current, so the contactor
// beside the resistor is closed already. As far as one link voltage can show it.
bool JudgeOnePole(CheckDraft& draft, const Interval& time, double pack_v, const Track& link) {
  // The state may come after the link, and began some time after its last reading before.
  const Track before = Between(draft.input().TrackOf("contactor state"), 0, time.from_s - 1e-9);
  const double from_s = before.empty() ? time.from_s : before.time_s.back();
  const Track rise = Between(link, from_s - kStateLate, time.to_s + kTogether);
  const auto jump = JumpOf(rise, pack_v);
  if (!jump) return false;
  draft.Judge(CheckStatus::kLookCloser,
              "at closing the link jumped from " + Spoken(100 * jump->from) + " to " +
                  Spoken(100 * jump->to) +
                  " % of pack voltage at once: the contactor beside the resistor is closed "
                  "already (one pole welded) or closed too early, or the link voltage is sent "
                  "late");
  return true;
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

// How far the link was when the main contactor closed, of its voltage afterwards.
struct Closing {
  double at_s = 0;
  double low = 0;              // it had at least this
  std::optional<double> high;  // and at most this; nothing: too few readings
  double error = 0;            // by which `high` may be off, three standard deviations
};

// A rise behind a resistor never gets faster: a reading that came by a larger step than the one
// before it was taken after the main contactor closed.
bool CameFaster(const Track& link, std::size_t last, double full) {
  if (last < 2 || link.value[last - 1] < kRising * full) return false;
  const double step = link.time_s[last] - link.time_s[last - 1];
  const double before = link.time_s[last - 1] - link.time_s[last - 2];
  if (step <= 0 || before <= 0) return false;
  return (link.value[last] - link.value[last - 1]) / step >
         kFaster * (link.value[last - 1] - link.value[last - 2]) / before;
}

// Of a link at rest, with its rounding: from neighbours, as the load may move it slowly.
double NoiseOf(const std::vector<double>& volts, double step_v) {
  return std::max(NeighbourNoise(volts), step_v / std::sqrt(12.0));
}

// From the last readings before the link is up. A link behind a resistor rises ever slower, so the
// step between its last two readings bounds what came after them.
std::optional<Closing> ClosingAt(const Interval& closed, const Track& link, double step_v,
                                 const Track& states) {
  const Track after = Between(link, closed.from_s + kLate, closed.from_s + kLate + 5);
  if (after.empty()) return std::nullopt;
  const double full = Median(after.value);
  const auto begin = std::lower_bound(link.time_s.begin(), link.time_s.end(), after.time_s[0]);
  auto up = static_cast<std::size_t>(begin - link.time_s.begin());
  while (up > 0 && link.value[up - 1] >= kLinkUp * full) --up;
  // Several readings may fall into the jump when the sensor follows it slowly.
  const std::size_t first = up;
  for (std::size_t back = 1; back <= std::min(first, kInTheJump); ++back) {
    if (CameFaster(link, first - back, full)) up = first - back;
  }
  if (up == 0 || full <= 0 || closed.from_s - link.time_s[up] > 5) return std::nullopt;
  Closing one{link.time_s[up], link.value[up - 1] / full, std::nullopt};
  const Track before = Between(states, 0, closed.from_s - 1e-9);
  if (!before.empty() && link.time_s[up] < before.time_s.back() - kStateLate) one.low = kLinkUp;
  if (up < 2) return one;
  const double earlier = link.value[up - 2] / full;
  const double step = link.time_s[up - 1] - link.time_s[up - 2];
  if (earlier < kRising || step <= 0) return one;
  const double slope = std::max(0.0, one.low - earlier) / step;
  const double late = link.time_s[up] - link.time_s[up - 1];
  one.high = one.low + slope * late;
  // The step between two readings carries the noise of both, and as many times as it is drawn on.
  one.error =
      kCertain * NoiseOf(after.value, step_v) / full * std::hypot(1 + late / step, late / step);
  return one;
}

// Lowest first; those whose link was up before are no closing.
std::vector<Closing> ClosingsOf(const Intervals& closed, const Track& link, double step_v,
                                const Track& states) {
  std::vector<Closing> closings;
  for (const Interval& one : closed) {
    if (const auto closing = ClosingAt(one, link, step_v, states)) closings.push_back(*closing);
  }
  std::sort(closings.begin(), closings.end(),
            [](const Closing& a, const Closing& b) { return a.low < b.low; });
  return closings;
}

void JudgeClosing(CheckDraft& draft, const Intervals& closed, const Track& link, double step) {
  const auto closings = ClosingsOf(closed, link, step, draft.input().TrackOf("contactor state"));
  if (closings.empty()) return;
  const double least = draft.Limit("precharge.least") / 100;
  const double usual = draft.Limit("precharge.close");
  const double error = std::max(kFullMoves, 2 * step / Quantile(link.value, 0.99));
  for (const Closing& one : closings) {
    if (!one.high || *one.high >= least - std::max(error, one.error)) continue;
    draft.Judge(CheckStatus::kOutside,
                "the main contactor closed at " + Spoken(100 * one.low) + " % of pack voltage");
    return;
  }
  const double lowest = 100 * closings.front().low;
  draft.Add("closing_share", lowest, "%",
            "of the link's voltage when closed: it had at least this; the last reading before");
  if (closings.front().low < least - error) {
    draft.Missing(
        "a link voltage that is sent more often (ten times while the pre-charge lasts): its last "
        "reading before the main contactor closed was " +
        Spoken(lowest) + " %, and how far it came after it cannot be told");
    return;
  }
  draft.Judge(CheckStatus::kWithin,
              "the main contactor closed at " + Spoken(lowest) + " % of pack voltage or more" +
                  (lowest < usual ? ", usual is " + Spoken(usual) + " %" : ""));
}

void JudgePrecharge(CheckDraft& draft, const std::vector<Precharge>& charges) {
  std::size_t failed = 0;
  double longest = 0;
  std::vector<double> taus;
  Intervals used;
  for (const Precharge& one : charges) {
    used.push_back(one.time);
    failed += one.closed ? 0 : 1;
    if (one.tau_s > 0) taus.push_back(one.tau_s);
    longest = std::max(longest, one.time.length());
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
  if (longest > draft.Limit("precharge.longest")) {
    draft.Judge(CheckStatus::kLookCloser, "a pre-charge took " + SpokenSeconds(longest));
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

void CheckPrecharge(CheckDraft& draft) {
  draft.Alike("a link voltage whose sensor sleeps until the contactors close");
  draft.Alike(
      "the pole without the resistor welded alone: one link voltage looks the same then; only the "
      "voltages of both its ends against the body would show it");
  const CheckInput& input = draft.input();
  const Track& link = input.TrackOf("link voltage");
  const Track& pack = input.TrackOf("pack voltage");
  const Intervals closed = input.WhereState("contactor state", {Meaning::kClosed});
  const Intervals charging = input.WhereState("contactor state", {Meaning::kPrecharging});
  const auto charges = PrechargesOf(charging, closed, link, pack);
  if (charges.empty()) {
    draft.Missing("a pre-charge: record while high voltage is switched on");
  } else {
    JudgePrecharge(draft, charges);
    DrawPrecharge(draft, charges, link);
  }
  JudgeClosing(draft, closed, link, input.Find("link voltage")->step);
  JudgePoles(draft, charging, closed, link, pack);
}

}  // namespace proofdrive::analysis
