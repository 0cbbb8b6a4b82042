// Which definitions fit the first session and no longer the second, as after a software update, and
// where a frame that is gone may have moved to.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "analysis/compare/traffic.h"
#include "analysis/findings/session_findings.h"

namespace proofdrive::analysis {

// Whether the checksum or counter of a frame that is gone is right in what was seen at a place.
enum class PlaceFit {
  kFits,
  kNotTold,  // the definition has neither, they failed before, too, or nobody looked
  kDoesNotFit,
};

// An identifier of the after-session that looks like a frame that is gone.
struct LikelyPlace {
  StreamName stream;
  // Share of the bits that moved in either that moved in both, 0..1.
  double likeness = 0;
  PlaceFit fit = PlaceFit::kNotTold;
  std::string why;  // phrases
};

// DefinitionChange::what of a frame whose counter was right before and is not after.
inline constexpr char kCounterFails[] = "counter fails";

// Of a frame that moved: both identifiers come in one session, so one of them may mean something
// else there.
inline constexpr char kAtBothPlaces[] = "at both identifiers";

struct DefinitionChange {
  std::string frame;
  std::string signal;  // empty when it is about the frame
  std::string what;    // "never seen", "checksum fails", ... as `lint --against` says it
  std::string before;  // phrases
  std::string after;
  // Of a frame that is gone, the likeliest first: those that fit, then by likeness.
  std::vector<LikelyPlace> places;
};

// What to write so that both sessions are read: "add \"moved to: 0x247\" to frame supply"; or what
// to do where one frame cannot say it. Empty without a place that fits or that nothing speaks
// against.
std::string MovedAdvice(const DefinitionChange& change, const decoders::Definitions& definitions);

// Something fails in most frames (or values) after and did not before. REQUIRES: the same
// definitions in both. In order of definition.
std::vector<DefinitionChange> CompareDefinitions(const SessionFindings& before,
                                                 const SessionFindings& after,
                                                 const TrafficComparison& traffic);

}  // namespace proofdrive::analysis
