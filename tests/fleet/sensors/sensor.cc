#include "tests/fleet/sensors/sensor.h"

namespace proofdrive::fleet {

const std::vector<std::pair<std::string, std::string>>& RoleUnits() {
  static const std::vector<std::pair<std::string, std::string>> units = {
      {"pack voltage", "V"},
      {"link voltage", "V"},
      {"pack current", "A"},
      {"cell voltages", "V"},
      {"cell temperatures", "degC"},
      {"state of charge", "%"},
      {"displayed range", "km"},
      {"energy left", "kWh"},
      {"discharge power limit", "kW"},
      {"isolation resistance", "kohm"},
      {"positive voltage to body", "V"},
      {"negative voltage to body", "V"},
      {"coolant pump speed", "rpm"},
      {"coolant pump current", "A"},
      {"coolant inlet temperature", "degC"},
      {"coolant outlet temperature", "degC"},
      {"supply voltage", "V"},
      {"vehicle speed", "km/h"},
      {"odometer", "km"},
      {"ambient temperature", "degC"}};
  return units;
}

}  // namespace proofdrive::fleet
