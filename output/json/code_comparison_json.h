// Trouble codes, control units and definitions of a comparison as JSON. For the .cc files of this
// layer only.
#pragma once

#include "analysis/compare/comparison.h"
#include "output/json/json_parts.h"

namespace proofdrive::output {

Json CodeVerdictJson(const analysis::CodeVerdict& code);
Json UnitsJson(const analysis::Comparison& comparison);
Json DefinitionChangesJson(const analysis::Comparison& comparison);

}  // namespace proofdrive::output
