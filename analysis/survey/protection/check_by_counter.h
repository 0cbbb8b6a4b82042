// Checks that are calculated with another hidden number for each value of a counter: AUTOSAR E2E
// profile 2 (a list of 16) and profile 1 with an alternating data id (AUTOSAR E2E Protocol
// Specification).
#pragma once

#include <optional>

#include "analysis/survey/rows/found.h"
#include "analysis/survey/rows/payload_rows.h"

namespace proofdrive::analysis::survey {

// Each data id follows from the constant of its counter value: one step of a CRC is a bijection.
// nullopt: no check of this kind, or too few payloads beside counter and check.
std::optional<FoundChecksum> FindChecksumByCounter(const PayloadRows& rows,
                                                   const FoundCounter& counter,
                                                   const BitCounts& flips);

}  // namespace proofdrive::analysis::survey
