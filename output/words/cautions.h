// The short cautions shown with results that could lead to touching, charging or driving a car.
// The only place that has them. They never replace the maker's instructions.
#pragma once

#include <string>
#include <vector>

namespace proofdrive::output {

// Where the result is shown decides which cautions belong to it.
enum class CautionContext {
  kAlways,   // any result about the vehicle
  kTouch,    // warnings that invite to open or measure something
  kCharge,   // results about charging, isolation, coolant in the pack
  kCompare,  // verdicts of a repair
};

struct Caution {
  std::string text;   // one or two sentences
  std::string basis;  // published source, "common practice, no source" or "project rule"
};

// Most important first, 2 to 4 of them.
std::vector<Caution> CautionsFor(CautionContext context);

}  // namespace proofdrive::output
