// The control units of two sessions: which is which, and what they say is installed in them.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "analysis/compare/code_evidence.h"
#include "analysis/findings/session_findings.h"

namespace proofdrive::analysis {

// A unit that answered in at least one of the sessions.
struct PairedUnit {
  std::string name;  // of the definitions; empty: found by the identifiers of standards
  std::string bus;   // label of its channel
  decoders::BusAddress answer;
  UnitPlace before;
  UnitPlace after;
  // Null where it did not answer. They point into the sessions' findings.
  const decoders::UnitReport* old = nullptr;
  const decoders::UnitReport* now = nullptr;
};

// "pack_controller", else "unit at 7ED".
std::string UnitName(const std::string& name, decoders::BusAddress answer);

// In order of channel and identifier. Units are matched by the identifier they answer with and the
// channel (MatchChannels).
std::vector<PairedUnit> PairUnits(const SessionFindings& before, const SessionFindings& after);

// One data identifier F180..F19F (ISO 14229-1 Annex C.1) on both sides; nullopt: not told there.
struct InstalledItem {
  std::uint16_t identifier = 0;
  std::optional<std::vector<std::uint8_t>> before;
  std::optional<std::vector<std::uint8_t>> after;
  bool Changed() const { return before && after && *before != *after; }
};

struct UnitComparison {
  std::string unit;  // UnitName
  std::string bus;
  decoders::BusAddress answer;
  bool answered_before = false;
  bool answered_after = false;
  // In order of identifier. An identifier that says which diagnostic session is active (F186) says
  // nothing about the unit and is left out.
  std::vector<InstalledItem> installed;
  bool Changed() const;
  // Told on both sides, so that "unchanged" can be said.
  bool Comparable() const;
};

std::vector<UnitComparison> CompareUnits(const SessionFindings& before,
                                         const SessionFindings& after);

}  // namespace proofdrive::analysis
