#include "analysis/verdicts/evidence.h"

#include <algorithm>

namespace proofdrive::analysis {
namespace {

using decoders::WarningSpan;
using decoders::WarningStateKind;

// Follows the spans in order of time.
void ReadSpans(const std::vector<WarningSpan>& spans, WallTime start, WarningEvidence& evidence) {
  bool off_after_on = false;
  for (const WarningSpan& span : spans) {
    if (span.kind == WarningStateKind::kOn) {
      evidence.set_after_off |= evidence.ever_off;
      evidence.on_off_on |= off_after_on;
      evidence.ever_on = true;
      evidence.last_known_on = true;
    } else if (span.kind == WarningStateKind::kOff) {
      if (evidence.last_known_on) evidence.went_off = span.from - start;
      off_after_on |= evidence.ever_on;
      evidence.ever_off = true;
      evidence.last_known_on = false;
    }
  }
}

std::optional<Duration> Since(WallTime start, const std::optional<WallTime>& time) {
  if (!time) return std::nullopt;
  return *time - start;
}

// How long nothing was known at the end, counted up to `end`.
Duration UnknownTail(const std::vector<WarningSpan>& spans, WallTime end) {
  for (auto span = spans.rbegin(); span != spans.rend(); ++span) {
    if (span->kind != WarningStateKind::kUnknown) {
      return std::max(Duration(0), end - span->to);
    }
  }
  return Duration(0);
}

}  // namespace

WarningEvidence EvidenceOf(const decoders::WarningHistory& history, const WarningSource& source,
                           WallTime start) {
  WarningEvidence evidence;
  evidence.length = source.bus_end;
  evidence.known = history.known;
  evidence.on = history.on;
  evidence.times_set = history.times_set;
  evidence.first_set = Since(start, history.first_set);
  evidence.last_set = Since(start, history.last_set);
  evidence.proven = history.proven;
  evidence.proven_longest = history.proven_longest;
  evidence.proven_times = history.proven_times;
  evidence.why_unknown = history.why_unknown;
  evidence.silent = source.silent;
  ReadSpans(history.spans, start, evidence);
  evidence.unknown_at_end = UnknownTail(history.spans, start + source.bus_end);
  evidence.known_at_end = evidence.Says() && evidence.unknown_at_end <= kEndTolerance;
  return evidence;
}

WarningEvidence EvidenceOf(const SessionFindings& findings, std::size_t index) {
  return EvidenceOf(findings.warnings[index], findings.sources[index], findings.start);
}

WarningEvidence NotDefined() {
  WarningEvidence evidence;
  evidence.defined = false;
  return evidence;
}

}  // namespace proofdrive::analysis
