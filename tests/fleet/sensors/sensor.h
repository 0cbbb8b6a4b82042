// How one value is measured and sent, and the plan of all that a car sends.
#pragma once

#include <map>
#include <string>
#include <utility>
#include <vector>

namespace proofdrive::fleet {

// All in the unit that is sent, times in seconds.
struct Sensor {
  std::string unit;
  double factor = 1, offset = 0;  // value of the role = sent * factor + offset
  double step = 0.1;              // resolution
  double low = 0, high = 100;     // what can be sent; the sensor is clipped there
  double period_s = 0.1;
  double parked_period_s = 1;
  double delay_s = 0;
  double noise = 0;  // one standard deviation
  double gain = 1, zero = 0;
  double loss = 0;  // share of frames that are missing
  // What a wrong definition makes of a value of the role: value * said_scale + said_offset.
  double said_scale = 1, said_offset = 0;
};

struct StateName {
  int value = 0;
  std::string name;
};

// By role. A role that is absent here is not sent.
struct SensorPlan {
  std::map<std::string, Sensor> values;
  std::map<std::string, std::vector<StateName>> states;  // of those that are states
  std::string positive;         // of the current: "discharge", "charge" or empty
  bool current_turned = false;  // sent positive when charged
  int cells_per_page = 3;
  std::vector<int> missing_pages;  // of the cell voltages, from 0
};

// The unit of each role that the fleet sends.
const std::vector<std::pair<std::string, std::string>>& RoleUnits();

}  // namespace proofdrive::fleet
