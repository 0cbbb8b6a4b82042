// Looks for the check of an identifier among all models, and says which ones fit when the recording
// cannot tell them apart.
#pragma once

#include <optional>

#include "analysis/survey/rows/found.h"
#include "analysis/survey/rows/payload_rows.h"

namespace proofdrive::analysis::survey {

// `id`: of the frames, for the constant that is made of it. Found in the first half of the rows and
// tried on the second; in all rows, and not proved, when the first half is too uniform. A model may
// fail in 1 % of the rows (damage). nullopt: no model fits, or too few different payloads.
std::optional<FoundChecksum> FindChecksum(const PayloadRows& rows, std::uint32_t id,
                                          const BitCounts& flips);

}  // namespace proofdrive::analysis::survey
