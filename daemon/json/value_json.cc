#include "daemon/json/value_json.h"

#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <nlohmann/json.hpp>
#include <string>

namespace proofdrive::daemon {
namespace {

using nlohmann::json;

bool HasValue(const LatestValue& latest) {
  return latest.value.validity != decoders::Validity::kAbsent;
}

}  // namespace

json ShortNumber(double number) {
  if (!std::isfinite(number)) return {};
  char text[40];
  std::snprintf(text, sizeof(text), "%.9g", number);
  return std::strtod(text, nullptr);
}

json ShortNumber(float number) {
  if (!std::isfinite(number)) return {};
  char text[40];
  std::snprintf(text, sizeof(text), "%.7g", static_cast<double>(number));
  return std::strtod(text, nullptr);
}

json ValueOrNull(const LatestValue& latest) {
  if (!HasValue(latest)) return {};
  if (!latest.text.empty()) return latest.text;
  return ShortNumber(latest.value.number);
}

std::string StateName(const decoders::Signal& signal, const LatestValue& latest) {
  return HasValue(latest) ? signal.StateOf(latest.value.raw) : std::string();
}

}  // namespace proofdrive::daemon
