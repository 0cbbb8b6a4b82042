#include "analysis/checks/contactor_check.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "analysis/checks/parts/pulse_fit.h"
#include "analysis/statistics/robust.h"
#include "analysis/statistics/summaries.h"

namespace proofdrive::analysis {
namespace {

using decoders::Meaning;

constexpr double kPackAge = 2;     // s
constexpr double kUpShare = 0.90;  // of pack voltage: the link is up
constexpr double kDownShare = 0.5;
constexpr double kOpenSeconds = 8;   // open this long before a link that is up means a weld
constexpr double kFallsShare = 0.3;  // of what a passive discharge would have taken: no weld
constexpr double kClearSteps = 3;    // steps of the link that such a fall must have
constexpr std::size_t kFewReadings = 5;
constexpr double kLowShare = 0.02;    // of the readings that may be disturbed
constexpr double kLate = 0.5;         // s by which a state may come late
constexpr double kTogether = 0.1;     // s by which frames of one moment may differ
constexpr double kSettle = 1;         // s after closing
constexpr double kLoadSpan = 20;      // A
constexpr double kPulse = 10;         // s, of the contacts' resistance
constexpr double kGainError = 0.003;  // between the two voltage sensors (proposal)
constexpr double kCertain = 3;        // standard deviations; 1 in 40 cars would be beyond 2

// The link comes up while everything is said to be open.
void JudgeRisesOpen(CheckDraft& draft, const Intervals& open, const Track& link,
                    const Track& pack) {
  const Track& states = draft.input().TrackOf("contactor state");
  for (const Interval& one : open) {
    // The last state that said open is older than the end of the interval.
    const Track said = Between(states, one.from_s, one.to_s - 1e-9);
    if (said.empty()) continue;
    const Track part = Between(link, one.from_s, said.time_s.back() - kLate);
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

// Open, and the link does not leave the pack: it falls far less than by the slowest discharge.
void JudgeWeld(CheckDraft& draft, const Intervals& open, const Track& link, const Track& pack) {
  const double step = draft.input().Find("link voltage")->step;
  const double slowest = draft.Limit("precharge.passive_s");
  for (const Interval& one : open) {
    if (one.length() < kOpenSeconds + 2) continue;
    const Track late = Between(link, one.from_s + 1, one.to_s);
    const auto volt = ValueAt(pack, one.to_s, CheckInput::Gap(pack));
    if (late.size() < 5 || !volt || *volt <= draft.Limit("precharge.bleed_v")) continue;
    const double first = Median(Between(late, late.time_s.front(), late.time_s.front() + 1).value);
    const double last = Median(Between(late, late.time_s.back() - 1, late.time_s.back()).value);
    const double tau = slowest / std::log(*volt / draft.Limit("precharge.bleed_v"));
    const double seconds = late.time_s.back() - late.time_s.front();
    const double expected = *volt * (1 - std::exp(-seconds / tau));
    // Readings may stop while the network sleeps and go on with the next pre-charge.
    if (Quantile(late.value, kLowShare) < kUpShare * *volt) continue;
    if (first < kUpShare * *volt || last < kUpShare * *volt) continue;
    if (expected < kClearSteps * step || first - last > kFallsShare * expected) continue;
    draft.Judge(CheckStatus::kOutside,
                "the link stays at " + Spoken(100 * last / *volt) + " % of pack voltage " +
                    SpokenSeconds(one.length()) +
                    " after the contactors were told to open: both poles are closed (welded), or "
                    "the state is only a command");
    return;
  }
}

// In everyday use a passive resistor may take minutes; the ten seconds are for a crash.
void JudgeBleed(CheckDraft& draft, const Intervals& closed, const Track& link) {
  const double to_v = draft.Limit("precharge.bleed_v");
  const double crash = draft.Limit("precharge.bleed_s");
  const double most = draft.Limit("precharge.passive_s");
  for (std::size_t i = 0; i < closed.size(); ++i) {
    const double from = closed[i].to_s;
    const double until = i + 1 < closed.size() ? closed[i + 1].from_s : draft.input().length_s;
    const Track falling = Between(link, from, until - kTogether);
    const auto below = std::find_if(falling.value.begin(), falling.value.end(),
                                    [to_v](double volt) { return volt < to_v; });
    const auto index = static_cast<std::size_t>(below - falling.value.begin());
    if (index == 0) continue;
    // It was above until here at least; a network that sleeps shows the rest late.
    const double seconds = falling.time_s[index - 1] - from;
    const bool seen = below != falling.value.end();
    if (seen)
      draft.Add("bleed_time", falling.time_s[index] - from, "s",
                "from opening to " + Spoken(to_v) + " V");
    if (seconds > most) {
      draft.Judge(CheckStatus::kLookCloser, "the link was above " + Spoken(to_v) + " V still " +
                                                SpokenSeconds(seconds) +
                                                " after opening: nothing discharges it");
    } else if (seconds > crash) {
      draft.Remark("the link was above " + Spoken(to_v) + " V for " + SpokenSeconds(seconds) +
                   " after opening: a passive discharge; after a crash " + Spoken(crash) +
                   " s are allowed");
    }
    if (!seen && seconds <= most) {
      draft.Missing("the link below " + Spoken(to_v) + " V after opening: record longer");
    }
  }
}

// Pack less link voltage while closed and settled, at the times of the link.
struct Drop {
  Track volt;                  // link less pack: falls with the current
  std::vector<double> shares;  // link over pack
};

Drop DropWhileClosed(const Intervals& closed, const Track& link, const Track& pack) {
  Drop drop;
  const Intervals settled = WithoutHead(closed, kSettle);
  const double age = CheckInput::Gap(pack);
  std::size_t next = 0;
  for (std::size_t i = 0; i < link.size(); ++i) {
    const double at = link.time_s[i];
    while (next < pack.size() && pack.time_s[next] < at) ++next;
    if (next == 0 || next == pack.size() || !Contains(settled, at)) continue;
    const double span = pack.time_s[next] - pack.time_s[next - 1];
    if (span > age || span <= 0) continue;
    const double part = (at - pack.time_s[next - 1]) / span;
    const double volt = pack.value[next - 1] + part * (pack.value[next] - pack.value[next - 1]);
    if (volt <= 0) continue;
    drop.volt.Add(at, link.value[i] - volt);
    drop.shares.push_back(link.value[i] / volt);
  }
  return drop;
}

void JudgeContacts(CheckDraft& draft, const Track& drop, const Track& pack) {
  const Track& current = draft.input().TrackOf("pack current");
  const PulseFit contacts(drop, current, kLoadSpan);
  if (!contacts.fitted()) return;
  const double mohm = 1000 * contacts.Ohm(kPulse);
  // The two sensors differ in gain, and the pack's own voltage falls with the current.
  const double gain = kGainError * std::fabs(PulseFit(pack, current, kLoadSpan).Ohm(kPulse));
  const double error = 1000 * std::hypot(gain, contacts.Uncertainty(kPulse));
  draft.Add("contact_resistance", mohm, "mohm", "pack less link voltage against current", error);
  if (mohm - kCertain * error > draft.Limit("contactor.ohm")) {
    draft.Judge(CheckStatus::kLookCloser, "closed contactors have " + Spoken(mohm) +
                                              " mohm: worn contacts, or a joint between the two "
                                              "places of measuring");
  }
}

// Of pack voltage while closed; nothing: too few readings of both, or not closed at all.
std::optional<double> JudgeClosed(CheckDraft& draft, const Intervals& closed, const Track& link,
                                  const Track& pack) {
  const Drop drop = DropWhileClosed(closed, link, pack);
  if (drop.shares.size() < kFewReadings) return std::nullopt;
  const double share = Median(drop.shares);
  if (share >= kDownShare) {
    JudgeContacts(draft, drop.volt, pack);
    return share;
  }
  draft.Judge(CheckStatus::kOutside,
              "the contactors say closed, and the link has " + Spoken(100 * share) +
                  " % of pack voltage: an open contactor, fuse, service or crash disconnect");
  return share;
}

// The last time that the link was well below the pack while everything was open: both poles at
// once are not welded.
struct Apart {
  double at_s = 0;
  double share = 1;  // of pack voltage
};

std::optional<Apart> LastApart(const Intervals& open, const Track& link, const Track& pack) {
  for (auto one = open.rbegin(); one != open.rend(); ++one) {
    const Track part = Between(link, one->from_s + kLate, one->to_s - kLate);
    const auto volt = ValueAt(pack, one->to_s, CheckInput::Gap(pack));
    if (part.size() < kFewReadings || !volt || *volt <= 0) continue;
    const double share = Median(Between(part, part.time_s.back() - 1, one->to_s).value) / *volt;
    if (share < kDownShare) return Apart{one->to_s, share};
  }
  return std::nullopt;
}

// Good news needs both: the link is up when closed, and leaves the pack when open.
void JudgeBoth(CheckDraft& draft, const Intervals& closed, std::optional<double> when_closed,
               const std::optional<Apart>& apart) {
  if (!when_closed) draft.Missing("the link voltage for some seconds with the contactors closed");
  if (!apart) {
    draft.Missing(
        "the link below half of pack voltage with the contactors open: record before "
        "they close, or longer after they open");
  }
  if (!when_closed || !apart || *when_closed < kUpShare) return;
  const bool after = apart->at_s > closed.back().to_s;
  draft.Judge(CheckStatus::kWithin,
              "the link has " + Spoken(100 * *when_closed) + " % of pack voltage when closed and " +
                  Spoken(100 * std::max(0.0, apart->share)) + " % when open" +
                  (after ? "" : ", before closing; after it no fall was seen"));
}

}  // namespace

void CheckContactors(CheckDraft& draft) {
  draft.Alike("a state that is the command and not the contact");
  draft.Alike("one pole welded alone: the other one opens, and the link falls all the same");
  const CheckInput& input = draft.input();
  const Track& link = input.TrackOf("link voltage");
  const Track& pack = input.TrackOf("pack voltage");
  const Intervals closed = input.WhereState("contactor state", {Meaning::kClosed});
  const Intervals open = input.WhereState("contactor state", {Meaning::kOpen});
  if (!input.WhereState("contactor state", {Meaning::kWelded}).empty()) {
    draft.Judge(CheckStatus::kOutside, "the car itself says that a contactor is welded");
  }
  draft.Add("closings", static_cast<double>(closed.size()), "", "of the main contactors seen");
  JudgeWeld(draft, open, link, pack);
  JudgeRisesOpen(draft, open, link, pack);
  JudgeBleed(draft, closed, link);
  const auto when_closed = JudgeClosed(draft, closed, link, pack);
  JudgeBoth(draft, closed, when_closed, LastApart(open, link, pack));
}

}  // namespace proofdrive::analysis
