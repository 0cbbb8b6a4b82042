#include "core/base/decimals.h"

#include <cstdio>

namespace proofdrive {

std::string Decimals(double value, int most) {
  char text[400];  // the largest double has 309 digits
  std::snprintf(text, sizeof(text), "%.*f", most, value);
  std::string shown = text;
  if (most == 0) return shown;
  shown.erase(shown.find_last_not_of('0') + 1);
  if (shown.back() == '.') shown.pop_back();
  return shown == "-0" ? "0" : shown;
}

}  // namespace proofdrive
