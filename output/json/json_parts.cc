#include "output/json/json_parts.h"

#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <nlohmann/json.hpp>

namespace proofdrive::output {
namespace {

Json Rounded(double value, int digits) {
  char text[32];
  std::snprintf(text, sizeof(text), "%.*g", digits, value);
  return Number(std::strtod(text, nullptr));
}

double Microseconds(Duration duration) {
  return static_cast<double>(
      std::chrono::duration_cast<std::chrono::microseconds>(duration).count());
}

}  // namespace

double Seconds(Duration duration) { return Microseconds(duration) / 1e6; }

double Milliseconds(Duration duration) { return Microseconds(duration) / 1e3; }

Json OptionalSeconds(const std::optional<Duration>& duration) {
  return duration ? Json(Seconds(*duration)) : Json(nullptr);
}

Json Number(double value) { return std::isfinite(value) ? Json(value) : Json(nullptr); }

Json Decoded(double value) { return std::fabs(value) < 1e11 ? Rounded(value, 12) : Number(value); }

Json Figures(double value) { return Rounded(value, 6); }

Json LengthsJson(const std::map<std::uint8_t, std::uint64_t>& lengths) {
  Json json = Json::object();
  for (const auto& [length, frames] : lengths) json[std::to_string(length)] = frames;
  return json;
}

Json CoverageJson(const analysis::Coverage& coverage) {
  return {{"identifiers", coverage.identifiers}, {"described", coverage.described}};
}

Json FaultsJson(const decoders::Definitions& definitions,
                const std::vector<decoders::FrameFaults>& faults) {
  Json list = Json::array();
  for (std::size_t i = 0; i < faults.size(); ++i) {
    const decoders::FrameFaults& one = faults[i];
    if (!one.any()) continue;
    list.push_back({{"frame", definitions.frames[i].name},
                    {"frames", one.frames},
                    {"counter", one.counter_faults},
                    {"checksum", one.checksum_faults},
                    {"length", one.wrong_length}});
  }
  return list;
}

Json FootingJson(const std::vector<analysis::Footing>& stands_on) {
  Json list = Json::array();
  for (const analysis::Footing& one : stands_on) {
    list.push_back({{"name", one.name}, {"known_from", KnownFromName(one.known_from)}});
  }
  return list;
}

}  // namespace proofdrive::output
