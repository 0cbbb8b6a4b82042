// What the values of a field tell of it: sign, kind, and what would settle what is open.
#pragma once

#include <optional>
#include <vector>

#include "analysis/survey/fields/field_cuts.h"
#include "analysis/survey/rows/found.h"

namespace proofdrive::analysis::survey {

// Whether values of this width are two's complement: the number goes over between "near 0" and
// "near the top" in both directions by small steps, and not through the middle. False: it goes
// through the middle by small steps, or over the top in one direction only. nullopt: neither was
// seen.
std::optional<bool> SignOf(const std::vector<std::uint64_t>& values,
                           const std::vector<std::uint32_t>& pairs, std::size_t width);

// The field with everything that can be said of it without a meaning. `changed`: bits that ever
// changed; `taken`: bits of counter, check, selector and other fields.
Field DescribeField(const CutField& cut, const BitLine& line, const PayloadRows& rows,
                    const BitSet& changed, const BitSet& taken);

}  // namespace proofdrive::analysis::survey
