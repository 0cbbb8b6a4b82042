// Numbers for people, without digits that pretend to a precision.
#pragma once

#include <string>

namespace proofdrive {

// At most so many decimals, without zeros at the end: 8.0 with two is "8", 0.250 with three "0.25".
std::string Decimals(double value, int most);

}  // namespace proofdrive
