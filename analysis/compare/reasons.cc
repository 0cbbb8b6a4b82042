#include "analysis/compare/reasons.h"

#include <cmath>

#include "core/base/text.h"

namespace proofdrive::analysis {
namespace {

using std::string;

// Rounding of what "all the time" means: a warning is known a moment after the first frame.
constexpr Duration kNearlyAll = std::chrono::seconds(1);

// "all 92 s" or "80 of 92 s".
string Share(Duration part, Duration whole) {
  if (part + kNearlyAll >= whole) return "all " + SpokenDuration(whole);
  return SpokenDuration(part) + " of " + SpokenDuration(whole);
}

string OnFor(const WarningEvidence& evidence) {
  return "on for " + Share(evidence.on, evidence.length);
}

string OffFor(const WarningEvidence& evidence) {
  return "off for " + Share(evidence.known - evidence.on, evidence.length);
}

// Why a session says nothing: "frame pack_status never arrived".
string Silence(const WarningEvidence& evidence) {
  if (!evidence.defined) return "its definitions do not have this warning";
  if (evidence.silent.size() == 1) return "its frame " + evidence.silent[0] + " never arrived";
  if (!evidence.silent.empty()) {
    return "its frames " + Join(evidence.silent, ", ") + " never arrived";
  }
  if (!evidence.why_unknown.empty()) return evidence.why_unknown;
  return "it was not known at any time";
}

string Before(const WarningEvidence& before) {
  if (!before.Says()) return "the before-session does not show it (" + Silence(before) + ")";
  if (before.ever_on) return OnFor(before) + " in the before-session";
  return OffFor(before) + " in the before-session";
}

string AtEnd(const WarningEvidence& after) {
  if (after.last_known_on && after.unknown_at_end > kEndTolerance) {
    return "on when last known, then silent for " + SpokenDuration(after.unknown_at_end);
  }
  return after.last_known_on ? "on at the end" : "off at the end";
}

string TimesSet(const WarningEvidence& after) {
  return after.times_set > 1 ? ", set " + std::to_string(after.times_set) + " times" : string();
}

string SetAt(const WarningEvidence& after) {
  const auto& when = after.set_after_off || after.on_off_on ? after.last_set : after.first_set;
  return when ? " " + SpokenDuration(*when) + " into the after-session" : " in the after-session";
}

string Asked(const decoders::Warning& warning) {
  return warning.proven_by->condition.text + " for " + SpokenDuration(warning.proven_by->hold);
}

// What is missing for a proof.
string Unproven(const decoders::Warning& warning, const WarningEvidence& after) {
  if (!warning.proven_by) {
    return "no proof condition is written for it: add \"proven by\" to its definition";
  }
  const string reached = after.proven_longest > Duration(0)
                             ? "reached " + SpokenDuration(after.proven_longest)
                             : string("which never happened");
  return "never exercised: needs " + Asked(warning) + ", " + reached;
}

string OffNow(const WarningEvidence& after) {
  if (after.ever_on && after.went_off) {
    return "still on at first, off since " + SpokenDuration(*after.went_off) +
           " into the after-session";
  }
  return OffFor(after) + " in the after-session";
}

string WhyNoEvidence(const WarningEvidence& before, const WarningEvidence& after) {
  if (!after.defined) {
    return "only the definitions stored with the before-session have this warning; to judge it, "
           "give definition files with --definitions";
  }
  if (!after.Says()) {
    const string was = before.ever_on ? "was " + OnFor(before) + " before; " : string();
    return was + "in the after-session " + Silence(after);
  }
  if (!after.known_at_end) {
    return "off while it was known, but not known for the last " +
           SpokenDuration(after.unknown_at_end) + " of the after-session: " + Silence(after);
  }
  return "off and exercised in the after-session, but " + Before(before) +
         ", so nothing says that the repair changed it";
}

}  // namespace

string SpokenDuration(Duration duration) {
  const double seconds = ToSeconds(duration);
  if (std::fabs(seconds) >= 180) return FormatDuration(duration);
  const double rounded = seconds < 10 ? std::round(seconds * 10) / 10 : std::round(seconds);
  return FormatDouble(rounded) + " s";
}

string ReasonFor(Verdict verdict, const decoders::Warning& warning, const WarningEvidence& before,
                 const WarningEvidence& after) {
  switch (verdict) {
    case Verdict::kStillOn:
      return AtEnd(after) + ", " + OnFor(after) + " of the after-session; " + Before(before);
    case Verdict::kCameBack:
      return "went off, then was set again" + SetAt(after) + TimesSet(after) + "; " + OnFor(after) +
             ", " + AtEnd(after);
    case Verdict::kNew:
      return Before(before) + "; set" + SetAt(after) + TimesSet(after) + ", " + OnFor(after) +
             ", " + AtEnd(after);
    case Verdict::kNotProven:
      return OffNow(after) + ", but " + Unproven(warning, after);
    case Verdict::kNoEvidence:
      return WhyNoEvidence(before, after);
    case Verdict::kCleared:
      return Before(before) + "; " + OffNow(after) + ", and exercised: " + Asked(warning) +
             ", reached " + SpokenDuration(after.proven_longest);
    case Verdict::kOffInBoth:
      return OffFor(before) + " before and " + OffFor(after) + " after" +
             (after.proven ? "" : "; " + Unproven(warning, after));
  }
  return "";
}

}  // namespace proofdrive::analysis
