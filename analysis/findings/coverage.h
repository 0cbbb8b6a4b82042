// How much of what was recorded the definitions describe: with another car's file it is nothing,
// and then nothing may be read out of what follows.
#pragma once

#include <cstddef>

#include "analysis/findings/session_findings.h"
#include "analysis/session/definition_set.h"
#include "session/reader.h"

namespace proofdrive::analysis {

struct Coverage {
  bool has_definitions = false;
  std::size_t identifiers = 0;  // recorded, counted per channel; no remote frames, no bus errors
  std::size_t described = 0;    // of them: as a frame, or as requests or answers of a control unit

  // There are definitions, there was something to describe, and they describe none of it.
  bool Nothing() const { return has_definitions && identifiers > 0 && described == 0; }
  // Less than a quarter: what is said is said about a small part.
  bool Little() const { return has_definitions && !Nothing() && 4 * described < identifiers; }
};

Coverage CoverageOf(const session::Reader& reader, const DefinitionSet& set);
Coverage CoverageOf(const SessionFindings& findings);

}  // namespace proofdrive::analysis
