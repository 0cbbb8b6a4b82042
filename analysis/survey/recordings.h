// From sessions to the identifiers a survey looks at.
#pragma once

#include <cstdint>
#include <vector>

#include "analysis/survey/rows/identifiers.h"
#include "core/base/result.h"
#include "decoders/model/definitions.h"
#include "session/reader.h"

namespace proofdrive::analysis::survey {

// Adds the frames of one more recording of the same car. Times go on where a clock was set back.
Status AddRecording(session::Reader& reader, IdentifierCollector& collector);

// Marks the bits that definitions describe, counters, checksums and pages included; those of a page
// count as described on every page. Identifiers of which no bit that changed is left are taken off.
// Returns how many those are.
std::size_t LeaveOutDescribed(const decoders::Definitions& definitions,
                              std::vector<Identifier>& identifiers);

}  // namespace proofdrive::analysis::survey
