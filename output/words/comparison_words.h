// Short phrases about sessions and streams, the same in text and in reports. Not escaped.
#pragma once

#include <cstdint>
#include <map>
#include <string>
#include <vector>

#include "analysis/compare/comparison.h"
#include "analysis/compare/traffic.h"
#include "analysis/findings/session_findings.h"

namespace proofdrive::output {

// "a", "a and b", "a, b and c".
std::string Enumerate(const std::vector<std::string>& parts);

// "2A1 pack_status".
std::string StreamText(const analysis::StreamName& stream);

// "100 ms", "2.5 s"; empty when it is not positive.
std::string PeriodText(Duration period);

// "6 and 8 bytes".
std::string LengthsText(const std::map<std::uint8_t, std::uint64_t>& lengths);

// One thing that changed in the traffic.
struct TrafficLine {
  std::string what;    // "only before", "period", "bits", ...
  std::string bus;     // empty when it is about a frame or a control unit
  std::string stream;  // identifier and frame, or the name of what it is about
  std::string detail;
};
// Everything that changed, the widest first: buses, identifiers, then their periods and bits.
std::vector<TrafficLine> TrafficLines(const analysis::TrafficComparison& traffic);

// "19 identifiers were seen in both sessions", and what may be said when nothing changed.
std::string TrafficLead(const analysis::TrafficComparison& traffic);

// One signal that differs, or has a role.
struct SignalLine {
  std::string signal;
  std::string before;  // "15.9 degC (12 to 19)", "open, closed", "not received"
  std::string after;
  std::string change;  // whether it changed, a phrase
  // The same in a word or two where it is not shown to have changed; else the phrase.
  std::string brief;
};
// Those that differ first.
std::vector<SignalLine> SignalLines(const analysis::Comparison& comparison);

// How many differ, and what may be said of the others.
std::string SignalLead(const analysis::Comparison& comparison);

// Whether the sessions may be in the wrong order, or are one and the same: a sentence; may be
// empty. Sessions in the wrong order give verdicts that are exactly wrong.
std::string OrderDoubt(const analysis::Comparison& comparison);

// Names of the definition files and where they came from; "none".
std::string DefinitionsUsed(const analysis::SessionFindings& findings);

// The same for two sessions, which one set judges.
std::string DefinitionsJudging(const analysis::SessionFindings& before,
                               const analysis::SessionFindings& after);

// "complete, 12 frames lost".
std::string ConditionOf(const analysis::SessionFindings& findings);

// What the session, else the definitions, call the vehicle; may be empty.
std::string VehicleOf(const analysis::SessionFindings& findings);

}  // namespace proofdrive::output
