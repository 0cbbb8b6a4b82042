#include "analysis/measured/measured.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "analysis/checking/draft.h"
#include "analysis/measured/quantity.h"
#include "analysis/statistics/summaries.h"
#include "core/base/text.h"
#include "decoders/model/roles.h"

namespace proofdrive::analysis {
namespace {

using decoders::KnownFrom;
using session::Measurement;

// Values this near to the moment are taken together.
constexpr double kTogether_s = 5;
// Nearer to zero than this many tolerances a value says nothing of a scale.
constexpr double kFarFromZero = 3;
// A monitor that has reached this share of its range shows no more.
constexpr double kEndOfRange = 0.98;

// Proposals of this tool: hand instruments of 1 % and sensors of 1 to 2 %. Insulation depends on
// the test voltage and on which side is tested.
constexpr Tolerance kTolerances[] = {
    {"V", 0.02, 0.2, 10},    {"A", 0.05, 1, 2},    {"kohm", 0.3, 0, 600},   {"degC", 0, 3, 60},
    {"%", 0, 3, 600},        {"km/h", 0.05, 2, 5}, {"km", 0.01, 1, 600},    {"rpm", 0.05, 50, 5},
    {"l/min", 0.2, 0.2, 10}, {"kPa", 0.1, 5, 10},  {"kWh", 0.05, 0.2, 600}, {"kW", 0.1, 1, 10},
    {"Nm", 0.1, 5, 2}};
constexpr Tolerance kCellTolerance = {"V", 0.005, 0, 10};

// The decoded value at that moment: the median of those about it, else the nearest one.
std::optional<double> DecodedAt(const Track& track, double at_s, double near_s) {
  std::vector<double> together;
  std::optional<std::size_t> nearest;
  for (std::size_t i = 0; i < track.size(); ++i) {
    const double away = std::fabs(track.time_s[i] - at_s);
    if (away <= kTogether_s) together.push_back(track.value[i]);
    if (away > near_s) continue;
    if (!nearest || away < std::fabs(track.time_s[*nearest] - at_s)) nearest = i;
  }
  if (!together.empty()) return Median(std::move(together));
  return nearest ? std::optional(track.value[*nearest]) : std::nullopt;
}

bool IsAtEndOfRange(const RoleSignal& signal, double value) {
  const auto reached = [&](double end) { return end > 0 && value >= kEndOfRange * end; };
  return reached(signal.range_high) || reached(signal.largest_raw);
}

// "what you measured at 12:00:30 (insulation 2.1 Mohm: insulation tester, 500 V)".
std::string Told(const Measurement& one) {
  return "what was measured at " + FormatWallTime(one.at, 0) + " (" + one.text +
         (one.how.empty() ? "" : ": " + one.how) + ")";
}

std::string Shown(const RoleSignal& signal, double value) {
  return signal.name + ", which says " + Spoken(value) + (signal.unit.empty() ? "" : " ") +
         signal.unit;
}

MeasuredNote NothingSaid(const Measurement& one, const RoleSignal& signal, const std::string& why) {
  return {one.role, signal.name, MeasuredOutcome::kSaysNothing,
          Told(one) + " says nothing about " + signal.name + ": " + why};
}

// What keeps a measurement from being compared; empty = nothing.
std::string Obstacle(const Measurement& one, const RoleSignal& signal) {
  if (!signal.unusable.empty()) return "it " + signal.unusable;
  if (!signal.unit_fits || !signal.states.empty()) return "its values have no unit to compare";
  if (one.element > signal.elements.size()) {
    return "it has " + std::to_string(signal.elements.size()) + " elements";
  }
  return "";
}

// A clamp does not tell which way round it was held.
double Comparable(const Measurement& one, double value) {
  return one.role == "pack current" ? std::fabs(value) : value;
}

MeasuredNote Compare(const CheckInput& input, const Measurement& one, const RoleSignal& signal) {
  if (const std::string why = Obstacle(one, signal); !why.empty()) {
    return NothingSaid(one, signal, why);
  }
  const Tolerance& allowed = ToleranceOf(one.role);
  const Track& track = signal.elements[one.element == 0 ? 0 : one.element - 1];
  const auto found = DecodedAt(track, ToSeconds(one.at - input.start), allowed.near_s);
  if (!found) {
    return NothingSaid(one, signal,
                       "no value within " + SpokenSeconds(allowed.near_s) + " of that time");
  }
  const double decoded = Comparable(one, *found);
  const double measured = Comparable(one, InUnitOfRole(one));
  const double tolerance = allowed.share * std::fabs(measured) + allowed.absolute + signal.step;
  if (measured > decoded && IsAtEndOfRange(signal, decoded)) {
    return NothingSaid(one, signal, "it is at the end of its range");
  }
  const bool agrees = std::fabs(decoded - measured) <= tolerance;
  if (agrees && std::fabs(measured) <= kFarFromZero * tolerance) {
    return NothingSaid(one, signal, "so near to zero any scale would agree");
  }
  const std::string within = " " + Spoken(tolerance) + " " + signal.unit;
  return {one.role, signal.name,
          agrees ? MeasuredOutcome::kConfirms : MeasuredOutcome::kContradicts,
          Told(one) + (agrees ? " confirms " : " contradicts ") + Shown(signal, *found) +
              (agrees ? ": they agree within" + within
                      : ": they differ by more than" + within + ", so one of them is wrong")};
}

void Apply(const MeasuredNote& note, RoleSignal& signal) {
  if (note.outcome == MeasuredOutcome::kConfirms && signal.known_from < KnownFrom::kMeasurement) {
    signal.known_from = KnownFrom::kMeasurement;
  }
  if (note.outcome == MeasuredOutcome::kContradicts) signal.contradicted = true;
}

// Its definition is what is most likely wrong, and no answer may go by it. One that is known from a
// document stays: then it may be the car's sensor.
void RejectContradicted(RoleSignal& signal, KnownFrom written) {
  if (!signal.contradicted || written >= KnownFrom::kMeasurement) return;
  signal.known_from = written;
  signal.unusable = "is contradicted by what was measured";
}

// Good news goes; bad news stays, behind the contradiction.
void TellContradiction(const std::string& sentence, CheckResult& result) {
  const bool good = result.status == CheckStatus::kWithin;
  if (good || result.status == CheckStatus::kCannotTell) {
    result.findings.insert(result.findings.begin(), result.summary);
    result.summary = sentence;
  } else {
    result.summary = sentence + "; " + result.summary;
  }
  if (!good) return;
  const bool signals = result.name == kSignalsCheck;
  result.status = signals ? CheckStatus::kLookCloser : CheckStatus::kCannotTell;
}

}  // namespace

const Tolerance& ToleranceOf(std::string_view role) {
  if (role == "cell voltages") return kCellTolerance;
  const decoders::Role* known = decoders::FindRole(role);
  for (const Tolerance& row : kTolerances) {
    if (known != nullptr && row.unit == known->unit) return row;
  }
  return kTolerances[0];
}

std::vector<MeasuredNote> HoldAgainst(CheckInput& input,
                                      std::span<const Measurement> measurements) {
  std::vector<MeasuredNote> notes;
  std::vector<KnownFrom> written;
  for (const RoleSignal& signal : input.signals) written.push_back(signal.known_from);
  for (const Measurement& one : measurements) {
    const std::size_t before = notes.size();
    for (RoleSignal& signal : input.signals) {
      if (signal.role != one.role || !signal.received()) continue;
      notes.push_back(Compare(input, one, signal));
      Apply(notes.back(), signal);
    }
    if (notes.size() > before) continue;
    notes.push_back(
        {one.role, "", MeasuredOutcome::kSaysNothing,
         Told(one) + " stands alone: no signal with the role \"" + one.role + "\" brought values"});
  }
  for (std::size_t i = 0; i < input.signals.size(); ++i) {
    RejectContradicted(input.signals[i], written[i]);
  }
  return notes;
}

void TellMeasured(std::span<const MeasuredNote> notes, CheckResult& result) {
  for (const MeasuredNote& note : notes) {
    const auto use = std::find_if(result.roles.begin(), result.roles.end(),
                                  [&](const RoleUse& role) { return role.role == note.role; });
    const bool everything = result.name == kSignalsCheck;
    if (use == result.roles.end() && !everything) continue;
    result.measured.push_back(note.sentence);
    if (note.outcome != MeasuredOutcome::kContradicts) continue;
    const bool needed = everything || use->needed || result.status == CheckStatus::kWithin;
    if (needed) TellContradiction(note.sentence, result);
  }
}

}  // namespace proofdrive::analysis
