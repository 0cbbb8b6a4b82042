#include <algorithm>

#include "tests/fleet/car/draw_car.h"

namespace proofdrive::fleet {
namespace {

// The rest that docs/checks.md asks for at this temperature, h.
double NeededRestHours(double celsius) { return celsius < 0 ? 6 : celsius < 20 ? 3 : 1; }

}  // namespace

Use DrawUse(Random random) {
  Use use;
  use.ambient_c = random.Uniform(-25, 50);  // the fleet's brief
  use.humidity = random.Uniform(0.3, 0.95);
  // W of everything else (chosen: lights and units 300, heater or climate up to 3 kW).
  use.auxiliary_w = random.LogUniform(300, 3000);
  use.town_share = random.Uniform(0.2, 0.8);
  // Asleep 0 - 5 W, telematics 5 - 20 W (from memory).
  use.standby_w = random.LogUniform(0.5, 15);
  const double dice = random.Uniform(0, 1);
  use.parked = dice < 0.70   ? ParkedNetwork::kSlow
               : dice < 0.85 ? ParkedNetwork::kAwake
                             : ParkedNetwork::kSleeps;
  use.wake_every_s = random.LogUniform(60, 1800);
  use.wake_for_s = random.Uniform(5, 30);
  return use;
}

void DrawStages(Random random, const Pack& pack, Use& use) {
  const double kwh = pack.capacity_ah * pack.series() * CurveOf(pack.kind).Volt(0.5) / 1000;
  // 0.1 - 1 % a day (trade figures, looked up): small packs have small units.
  use.standby_w = std::min(use.standby_w, 0.01 * 1000 * kwh / 24);
  // 600 - 1000 kg without a pack of 5 - 7 kg/kWh (chosen), a large pack in a large car.
  use.mass_kg = random.Uniform(600, 1000) + kwh * random.Uniform(10, 18);
  const double c_rate = pack.capacity_ah < 60 ? random.Uniform(3, 6) : random.Uniform(1.5, 3.5);
  use.most_kw = std::min(kwh * c_rate, use.mass_kg * random.Uniform(0.03, 0.08));
  // AC 0.1 - 0.3 C, DC 0.5 - 1.2 C (from memory); below 0 degC at most 0.2 C (from memory).
  const bool fast = random.Chance(0.4) && use.ambient_c >= 10;
  use.charge_c_rate = fast ? random.Uniform(0.5, 1.2) : random.Uniform(0.1, 0.3);
  if (use.ambient_c < 5) use.charge_c_rate = std::min(use.charge_c_rate, 0.1);
  const double rest_s = 3600 * NeededRestHours(use.ambient_c) * random.Uniform(1.15, 1.6);
  const bool charges = random.Chance(0.4);
  use.stages.push_back({StageKind::kWake, random.Uniform(15, 90)});
  use.stages.push_back({StageKind::kReady, random.Uniform(10, 60)});
  use.stages.push_back({StageKind::kDrive, random.Uniform(600, 1500)});
  use.stages.push_back({StageKind::kReady, random.Uniform(5, 40)});
  if (charges) {
    use.stages.push_back({StageKind::kRest, rest_s});
    const double share = random.Uniform(0.2, 0.6);
    use.stages.push_back({StageKind::kCharge, 3600 * share / use.charge_c_rate});
  }
  // Then a night, or a rest only.
  const double night_s = 3600 * random.Uniform(8, 11);
  const bool night = random.Chance(0.5);
  use.stages.push_back({StageKind::kRest, night ? std::max(night_s, rest_s) : rest_s});
}

Car DrawCar(std::uint64_t seed) {
  const Random random(seed);
  Car car;
  car.seed = seed;
  car.use = DrawUse(random.Fork("use"));
  car.pack = DrawPack(random.Fork("pack"));
  DrawStages(random.Fork("stages"), car.pack, car.use);
  car.high_voltage = DrawHighVoltage(random.Fork("high voltage"));
  car.insulation = DrawInsulation(random.Fork("insulation"), car.pack, car.use);
  car.loop = DrawLoop(random.Fork("loop"), car.pack, car.use);
  car.supply = DrawSupply(random.Fork("supply"));
  car.display = DrawDisplay(random.Fork("display"), car.pack);
  car.facts = DrawFacts(random.Fork("facts"), car);
  DrawSensors(random.Fork("sensors"), car);
  return car;
}

}  // namespace proofdrive::fleet
