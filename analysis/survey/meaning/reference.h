// A series that is known from elsewhere: a file of a phone or a logger, or a known signal.
#pragma once

#include <string>
#include <vector>

#include "core/base/result.h"

namespace proofdrive::analysis::survey {

struct Reference {
  std::string name;
  std::string unit;            // empty: not stated
  std::vector<double> times;   // s, in order
  std::vector<double> values;  // as many
};

// One reference for each column after the first, which is the time: seconds, since 1970 or since
// the start of the recording, or ISO 8601. The first line names the columns. Cells that are empty
// are gaps. kInvalidArgument says which line is wrong, or that there is nothing to follow.
Result<std::vector<Reference>> ParseReferences(const std::string& text);

// Turns times since the start into those of the recording, which lasts from `begin` to `end`. An
// error when they do not meet: nothing can be compared then.
Status PlaceInTime(double begin, double end, Reference& reference);

}  // namespace proofdrive::analysis::survey
