#include <algorithm>
#include <cmath>

#include "tests/fleet/car/draw_car.h"
#include "tests/fleet/sensors/state_styles.h"

namespace proofdrive::fleet {
namespace {

// How one value may be measured and sent. Resolutions of 8 to 16 bits over the range, noise of one
// to three steps, gain errors of data-sheet classes (0.2 - 1 % voltage, 0.5 - 2 % current, 15 % of
// insulation monitors): chosen
// from everyday data sheets, from memory. Periods 20 ms to 10 s; link voltage 10 ms to 1 s (the
// fleet's brief).
struct Row {
  const char* role;
  double low, high;            // of what can be sent, in the unit of the role
  double step_low, step_high;  // resolution
  double period_low, period_high;
  double noise_high;  // one standard deviation
  double gain_sd, zero_sd;
};
constexpr Row kRows[] = {
    {"pack voltage", 0, 1000, 0.05, 0.5, 0.02, 1, 0.2, 0.001, 0.1},
    {"link voltage", 0, 1000, 0.1, 1, 0.01, 1, 0.5, 0.002, 0.3},
    {"pack current", -1500, 1500, 0.05, 0.5, 0.02, 0.5, 0.3, 0.004, 0.15},
    {"cell voltages", 0, 5.1, 0.0005, 0.005, 0.2, 10, 0.0008, 0.0004, 0},
    {"cell temperatures", -50, 120, 0.1, 1, 0.5, 10, 0.1, 0, 0},
    {"state of charge", 0, 100, 0.01, 1, 0.1, 2, 0, 0, 0},
    {"displayed range", 0, 1000, 0.1, 1, 0.2, 5, 0, 0, 0},
    {"energy left", 0, 200, 0.02, 0.2, 0.2, 5, 0, 0, 0},
    {"discharge power limit", 0, 600, 0.1, 1, 0.1, 1, 0, 0, 0},
    {"isolation resistance", 0, 60000, 1, 50, 0.2, 5, 0.02, 0.075, 0},
    {"positive voltage to body", 0, 1000, 0.1, 1, 0.2, 2, 0.5, 0.005, 0.3},
    {"negative voltage to body", 0, 1000, 0.1, 1, 0.2, 2, 0.5, 0.005, 0.3},
    {"coolant pump speed", 0, 8000, 1, 50, 0.1, 1, 2, 0, 0},
    {"coolant pump current", 0, 20, 0.01, 0.1, 0.1, 1, 0.03, 0.01, 0.02},
    {"coolant inlet temperature", -50, 120, 0.1, 1, 0.2, 2, 0.1, 0, 0.3},
    {"coolant outlet temperature", -50, 120, 0.1, 1, 0.2, 2, 0.1, 0, 0.3},
    {"supply voltage", 0, 20, 0.01, 0.1, 0.02, 1, 0.03, 0.005, 0.03},
    {"vehicle speed", 0, 300, 0.01, 0.5, 0.02, 0.5, 0, 0.01, 0},
    {"odometer", 0, 999999, 0.1, 1, 0.5, 5, 0, 0, 0},
    {"ambient temperature", -50, 80, 0.1, 1, 0.5, 10, 0.1, 0, 1},
};

// Units in which values are sent: the role's in most cars.
struct UnitRow {
  const char* role;
  const char* unit;
  double share;  // of the cars
  double factor, offset;
};
constexpr UnitRow kUnits[] = {
    {"cell voltages", "mV", 0.3, 1e-3, 0},
    {"isolation resistance", "Mohm", 0.15, 1e3, 0},
    {"isolation resistance", "ohm", 0.1, 1e-3, 0},
    {"cell temperatures", "degF", 0.04, 5.0 / 9, -160.0 / 9},
    {"cell temperatures", "K", 0.04, 1, -273.15},
    {"coolant inlet temperature", "K", 0.04, 1, -273.15},
    {"vehicle speed", "m/s", 0.1, 3.6, 0},
    {"vehicle speed", "mph", 0.1, 1.609344, 0},
    {"displayed range", "mi", 0.1, 1.609344, 0},
    {"odometer", "mi", 0.1, 1.609344, 0},
    {"energy left", "Wh", 0.1, 1e-3, 0},
    {"state of charge", "1", 0.05, 100, 0},
    {"coolant pump speed", "1/s", 0.05, 60, 0},
    {"coolant pump current", "mA", 0.1, 1e-3, 0},
    {"supply voltage", "mV", 0.1, 1e-3, 0},
    {"pack voltage", "kV", 0.02, 1e3, 0},
};
constexpr double kSlowest = 10;  // s

// Parked, networks send less often (common practice); long lists at most every 4 s, so that a night
// of 216 cells stays small.
void Park(Random& random, const Use& use, bool series, Sensor& sensor) {
  const bool awake = use.parked == ParkedNetwork::kAwake;
  const double slower = awake ? random.Uniform(1, 3) : random.LogUniform(5, 50);
  const double least = series ? (awake ? 4 : 6) : (awake ? 1 : 2);
  sensor.parked_period_s =
      std::clamp(std::max(sensor.period_s * slower, least), sensor.period_s, kSlowest);
}

void ChooseUnit(Random& random, const std::string& role, Sensor& sensor) {
  for (const auto& [name, unit] : RoleUnits()) {
    if (role == name) sensor.unit = unit;
  }
  double dice = random.Uniform(0, 1);
  for (const UnitRow& row : kUnits) {
    if (role != row.role) continue;
    if (dice < row.share) {
      sensor.unit = row.unit;
      sensor.factor = row.factor;
      sensor.offset = row.offset;
      return;
    }
    dice -= row.share;
  }
}

// The drawn figures, in the unit of the role, brought to the unit that is sent.
void Convert(Sensor& sensor) {
  sensor.low = (sensor.low - sensor.offset) / sensor.factor;
  sensor.high = (sensor.high - sensor.offset) / sensor.factor;
  sensor.step /= sensor.factor;
  sensor.noise /= sensor.factor;
  sensor.zero /= sensor.factor;
}

Sensor DrawSensor(Random& random, const Row& row, const Use& use) {
  Sensor sensor;
  sensor.low = row.low;
  sensor.high = row.high;
  sensor.step = random.LogUniform(row.step_low, row.step_high);
  sensor.period_s = random.LogUniform(row.period_low, row.period_high);
  sensor.noise = row.noise_high * random.Uniform(0, 1);
  sensor.gain = 1 + row.gain_sd * random.ClippedNormal(2);
  sensor.zero = row.zero_sd * random.ClippedNormal(2);
  sensor.delay_s = random.Chance(0.3) ? random.Uniform(0, 0.15) : 0;  // chosen
  sensor.loss = random.Chance(0.2) ? random.LogUniform(0.0005, 0.03) : 0;
  ChooseUnit(random, row.role, sensor);
  Park(random, use, std::string_view(row.role).starts_with("cell"), sensor);
  return sensor;
}

// Steps that people write: 1, 2 or 5 times a power of ten.
double RoundStep(double step) {
  const double decade = std::pow(10, std::floor(std::log10(step)));
  const double lead = step / decade;
  return decade * (lead < 1.5 ? 1 : lead < 3.5 ? 2 : lead < 7.5 ? 5 : 10);
}

// Relative noise of the monitor; its own steps grow with a large range.
void FitMonitor(Sensor& sensor, const Insulation& insulation) {
  sensor.noise = std::max(sensor.noise, 0.002);
  if (insulation.ceiling_kohm > 0) sensor.high = insulation.ceiling_kohm;
}

// Clipped ranges: a current sensor that ends at what the pack is made for.
void FitRanges(Random& random, const Car& car, const std::string& role, Sensor& sensor) {
  const double volt = car.pack.highest_v();
  if (role == "pack voltage" || role == "link voltage" || role.ends_with("to body")) {
    sensor.high = std::max(1.15 * volt, 120.0);
  } else if (role == "pack current") {
    const double most = std::max(1000 * car.use.most_kw / volt, 2 * car.pack.capacity_ah);
    const double room = random.Chance(0.1) ? 0.8 : random.Uniform(1.5, 4);
    sensor.high = std::min(most * room, 1500.0);
    sensor.low = -sensor.high;
  } else if (role == "energy left") {
    sensor.high = std::max(20.0, car.pack.capacity_ah * volt / 1000 * 1.2);
  }
}

void DrawValues(Random& random, Car& car) {
  for (const Row& row : kRows) {
    Random own = random.Fork(row.role);
    Sensor sensor = DrawSensor(own, row, car.use);
    FitRanges(own, car, row.role, sensor);
    if (std::string(row.role) == "isolation resistance") FitMonitor(sensor, car.insulation);
    const double relative = sensor.noise;
    Convert(sensor);
    if (std::string(row.role) == "isolation resistance") sensor.noise = relative;
    // Not more than 16 bits; an odometer has more.
    const double bits = std::string(row.role) == "odometer" ? 16e6 : 65000;
    sensor.step = RoundStep(std::max(sensor.step, (sensor.high - sensor.low) / bits));
    car.sensors.values[row.role] = sensor;
  }
}

// 30 % of the cars lack some roles, each with a chance of a fifth (chosen).
void Leave(Random& random, Car& car) {
  if (random.Chance(0.7)) return;
  car.all_roles = false;
  std::erase_if(car.sensors.values, [&random](const auto&) { return random.Chance(0.2); });
}

}  // namespace

void DrawSensors(Random random, Car& car) {
  SensorPlan& plan = car.sensors;
  DrawValues(random, car);
  for (const char* role : {"contactor state", "charge state", "converter state", "coolant pump",
                           "balancing", "coolant level", "crash latch", "interlock"}) {
    Random own = random.Fork(role);
    Sensor sensor;
    sensor.period_s = own.LogUniform(0.02, 1);
    Park(own, car.use, false, sensor);
    plan.values[role] = sensor;
    plan.states[role] = DrawStates(own, role);
  }
  plan.current_turned = random.Chance(0.4);
  // A definition file must say which it is.
  plan.positive = plan.current_turned ? "charge" : "discharge";
  plan.cells_per_page = 1 + static_cast<int>(random.Below(3));
  // Pages of the cell voltages that never come, in one car of 30 (chosen).
  if (random.Chance(1.0 / 30)) {
    const int pages = (car.pack.cells + plan.cells_per_page - 1) / plan.cells_per_page;
    plan.missing_pages.push_back(static_cast<int>(random.Below(static_cast<std::size_t>(pages))));
  }
  Leave(random, car);
}

}  // namespace proofdrive::fleet
