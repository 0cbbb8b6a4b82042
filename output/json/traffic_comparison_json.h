// What changed in the traffic, as a part of the document of a comparison.
#pragma once

#include "analysis/compare/traffic.h"
#include "output/json/json_parts.h"

namespace proofdrive::output {

Json TrafficJson(const analysis::TrafficComparison& traffic);

}  // namespace proofdrive::output
