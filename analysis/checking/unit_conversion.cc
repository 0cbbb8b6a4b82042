#include "analysis/checking/unit_conversion.h"

#include <cctype>
#include <string>

namespace proofdrive::analysis {
namespace {

struct UnitRow {
  std::string_view name;  // lower case, as Plain() writes it
  std::string_view base;
  double factor;
  double offset = 0;
};
// Case tells milli from mega, so those are spelt as they are written.
constexpr UnitRow kUnits[] = {{"V", "V", 1},
                              {"mV", "V", 1e-3},
                              {"kV", "V", 1e3},
                              {"A", "A", 1},
                              {"mA", "A", 1e-3},
                              {"kA", "A", 1e3},
                              {"ohm", "ohm", 1},
                              {"mohm", "ohm", 1e-3},
                              {"kohm", "ohm", 1e3},
                              {"Mohm", "ohm", 1e6},
                              {"W", "W", 1},
                              {"kW", "W", 1e3},
                              {"Wh", "Wh", 1},
                              {"kWh", "Wh", 1e3},
                              {"degC", "degC", 1},
                              {"K", "degC", 1, -273.15},
                              {"degF", "degC", 5.0 / 9, -160.0 / 9},
                              {"%", "%", 1},
                              {"1", "%", 100},
                              {"km", "km", 1},
                              {"m", "km", 1e-3},
                              {"mi", "km", 1.609344},
                              {"km/h", "km/h", 1},
                              {"m/s", "km/h", 3.6},
                              {"mph", "km/h", 1.609344},
                              {"rpm", "rpm", 1},
                              {"1/min", "rpm", 1},
                              {"1/s", "rpm", 60},
                              {"l/min", "l/min", 1},
                              {"L/min", "l/min", 1},
                              {"l/h", "l/min", 1.0 / 60},
                              {"kPa", "kPa", 1},
                              {"bar", "kPa", 100},
                              {"mbar", "kPa", 0.1},
                              {"Nm", "Nm", 1}};

void Replace(std::string& text, std::string_view from, std::string_view to) {
  for (std::size_t at = text.find(from); at != std::string::npos; at = text.find(from)) {
    text.replace(at, from.size(), to);
  }
}

const UnitRow* Find(std::string_view unit) {
  std::string plain(unit);
  Replace(plain, "\u2126", "ohm");
  Replace(plain, "\u03A9", "ohm");
  Replace(plain, "\u00B0", "deg");
  Replace(plain, " ", "");
  Replace(plain, "Ohm", "ohm");
  if (plain == "C") plain = "degC";
  for (const UnitRow& row : kUnits) {
    if (row.name == plain) return &row;
  }
  return nullptr;
}

}  // namespace

std::optional<UnitStep> UnitFromTo(std::string_view from, std::string_view to) {
  if (from.empty() || from == to) return UnitStep{};
  const UnitRow* a = Find(from);
  const UnitRow* b = Find(to);
  if (a == nullptr || b == nullptr || a->base != b->base) return std::nullopt;
  return UnitStep{a->factor / b->factor, (a->offset - b->offset) / b->factor};
}

}  // namespace proofdrive::analysis
