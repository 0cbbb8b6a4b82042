#include "analysis/verdicts/reasons.h"

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
  if (!before.Says()) return "not known before (" + Silence(before) + ")";
  return (before.ever_on ? OnFor(before) : OffFor(before)) + " before";
}

string AtEnd(const WarningEvidence& after) {
  if (after.last_known_on && after.unknown_at_end > kEndTolerance) {
    return "on when last known, then not known for " + SpokenDuration(after.unknown_at_end);
  }
  return after.last_known_on ? "on at the end" : "off at the end";
}

// "on for 71 s of 92 s after, on at the end".
string OnAfter(const WarningEvidence& after) { return OnFor(after) + " after, " + AtEnd(after); }

// "35 s into the after-session, 2 times in all".
string SetAt(const WarningEvidence& after) {
  const auto& when = after.set_after_off ? after.last_set : after.first_set;
  if (!when || *when < kNearlyAll) return "from the start of the after-session";
  const string times =
      after.times_set > 1 ? ", " + std::to_string(after.times_set) + " times in all" : string();
  return SpokenDuration(*when) + " into the after-session" + times;
}

string Asked(const decoders::Warning& warning) {
  const decoders::ProvenBy& proof = *warning.proven_by;
  if (proof.times == 1) return proof.condition.text + " for " + SpokenDuration(proof.hold);
  const string hold = proof.hold > Duration(0) ? " for " + SpokenDuration(proof.hold) + "," : "";
  return proof.condition.text + hold + " " + std::to_string(proof.times) + " times";
}

string Reached(const decoders::Warning& warning, const WarningEvidence& after) {
  if (warning.proven_by->times > 1 && after.proven_times > 0) {
    return "reached " + std::to_string(after.proven_times) + " of them";
  }
  const bool held = after.proven || after.proven_longest > Duration(0);
  return held ? "reached " + SpokenShort(after.proven_longest, warning.proven_by->hold)
              : string("which never happened");
}

// What is missing for a proof.
string Unproven(const decoders::Warning& warning, const WarningEvidence& after) {
  if (!warning.proven_by) {
    return "no proof condition is written for it (\"proven by\" in its definition)";
  }
  const string missing =
      after.proven_times > 0 ? "not put to the test enough" : "never put to the test";
  return missing + ": needs " + Asked(warning) + ", " + Reached(warning, after);
}

string OffNow(const WarningEvidence& after) {
  if (after.ever_on && after.went_off) {
    return "still on at first after, off since " + SpokenDuration(*after.went_off) +
           " into the after-session";
  }
  return OffFor(after) + " after";
}

string WhyNoEvidence(const WarningEvidence& before, const WarningEvidence& after) {
  if (!after.defined) {
    return "only the definitions stored with the before-session have this warning; to judge it, "
           "give definition files with --definitions";
  }
  if (!after.Says()) return Before(before) + "; after, " + Silence(after);
  if (!after.known_at_end) {
    return Before(before) + "; off after while it was known, but not known for the last " +
           SpokenDuration(after.unknown_at_end) + ": " + Silence(after);
  }
  return Before(before) + "; off and put to the test after, but nothing says that it was ever set";
}

}  // namespace

string ReasonFor(Verdict verdict, const decoders::Warning& warning, const WarningEvidence& before,
                 const WarningEvidence& after) {
  switch (verdict) {
    case Verdict::kStillOn:
      return Before(before) + "; " + OnAfter(after);
    case Verdict::kCameBack:
      return Before(before) + "; went off, then set again " + SetAt(after) + "; " + OnAfter(after);
    case Verdict::kNew:
      return Before(before) + "; set " + SetAt(after) + "; " + OnAfter(after);
    case Verdict::kNotProven:
      return Before(before) + "; " + OffNow(after) + ", but " + Unproven(warning, after);
    case Verdict::kNoEvidence:
      return WhyNoEvidence(before, after);
    case Verdict::kCleared:
      return Before(before) + "; " + OffNow(after) + " and put to the test: needs " +
             Asked(warning) + ", " + Reached(warning, after);
    case Verdict::kOffInBoth:
      return Before(before) + "; " + OffNow(after) +
             (after.proven ? "" : ", but " + Unproven(warning, after));
  }
  return "";
}

}  // namespace proofdrive::analysis
