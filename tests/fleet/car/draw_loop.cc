#include <algorithm>

#include "tests/fleet/car/draw_car.h"
#include "tests/fleet/physics/cell_curves.h"
#include "tests/fleet/physics/cooling.h"

namespace proofdrive::fleet {

Loop DrawLoop(Random random, const Pack& pack, const Use& use) {
  Loop loop;
  loop.law = static_cast<PumpLaw>(random.Below(4));
  loop.rpm_low = random.Uniform(900, 2200);
  loop.rpm_high = random.Uniform(2800, 6000);
  // 0.96 - 1.05 W at 1000 rpm for a pump of 100 W at 5000 rpm (computed from the published law);
  // car pumps of 20 - 150 W (from memory).
  loop.watt_per_krpm = random.LogUniform(0.4, 1.4);
  // 2.7 - 3.0; below 3 by the 2 - 4 W of electronics and bearings (from memory; law looked up).
  loop.exponent = random.Uniform(2.75, 3.0);
  loop.electronics_w = random.Uniform(1.5, 4.5);
  loop.l_min_per_krpm = random.Uniform(1.6, 4);  // 8 - 16 L/min at 4000 rpm (chosen)
  loop.ripple = random.LogUniform(0.001, 0.008);
  loop.volume_l = random.Uniform(0.5, 4);
  // 650 W/K for 420 kJ/K (computed example of the references), more or less.
  loop.exchange_w_per_k = pack.heat_kj_per_k * random.Uniform(0.6, 2.0);
  loop.target_c = std::clamp(use.ambient_c + random.Uniform(-2, 8), -20.0, 32.0);
  loop.radiator_s = random.LogUniform(120, 900);
  loop.loss_w_per_k = random.Uniform(2, 10);
  return loop;
}

Supply DrawSupply(Random random) {
  Supply supply;
  // 12.24 V at 50 % to 12.65 V at 100 % (battery makers' table, looked up); 13.2 - 13.4 V of four
  // iron phosphate cells (from memory).
  supply.lithium = random.Chance(0.2);
  supply.rested_v = supply.lithium ? random.Uniform(13.1, 13.4) : random.Uniform(12.25, 12.8);
  supply.awake_amps = random.Uniform(4, 25);
  supply.milliohm = random.Uniform(4, 15);
  // 13.5 - 14.5 V (looked up); float of gel 13.05, wet 13.4, AGM 13.6 V (looked up).
  supply.normal_v = random.Uniform(13.3, 14.5);
  // 12.2 - 13.2 V in eco mode (the fleet's brief; 12.4 - 13.2, from memory).
  supply.eco = random.Chance(0.3);
  supply.eco_v = random.Uniform(12.2, 13.2);
  // 18 - 30 mV/K (looked up), 0 in many cars; 15.5 V in the cold (the fleet's brief).
  supply.cold_v_per_k = random.Chance(0.6) ? random.Uniform(0.018, 0.030) : 0;
  supply.wake_dip_v = random.Uniform(0.1, 0.9);
  return supply;
}

Display DrawDisplay(Random random, const Pack& pack) {
  Display display;
  // Hidden at both ends, 2 - 8 % (from memory).
  display.hidden_low = random.Uniform(0.02, 0.08);
  display.hidden_high = random.Uniform(0.0, 0.05);
  display.settle_percent = random.Chance(0.3) ? random.Uniform(0.1, 0.8) : 0;  // chosen
  display.settle_s = random.Uniform(600, 2400);
  // 5 points are allowed to a car's own figure of its health (UN GTR 22, from memory); of the
  // charge 3 here.
  display.gain_error = random.Uniform(-0.03, 0.03);
  const double kwh = pack.capacity_ah * pack.series() * CurveOf(pack.kind).Volt(0.5) / 1000;
  display.km_full = 1000 * kwh * pack.health / random.Uniform(130, 230);
  return display;
}

Facts DrawFacts(Random random, const Car& car) {
  Facts facts;
  // Half of the owners have written nothing, the others each fact with a chance of 0.7 (chosen).
  if (random.Chance(0.5)) return facts;
  const auto known = [&random] { return random.Chance(0.7); };
  const auto about = [&random](double value) {
    return value * (1 + 0.03 * random.ClippedNormal(2));
  };
  const CellKind kind = car.pack.kind;
  const bool iron = kind == CellKind::kLfp || kind == CellKind::kLfpFlat;
  const bool nickel = !iron && kind != CellKind::kNca && kind != CellKind::kLmo;
  if (known() && (iron || nickel)) facts.chemistry = iron ? "lfp" : "nmc";
  if (known()) facts.cells = car.pack.series();
  if (iron && facts.chemistry == "lfp") facts.cell_most_v = 3.65;
  if (known()) facts.capacity_ah = car.pack.capacity_ah;
  const double usable = 1 - car.display.hidden_low - car.display.hidden_high;
  const double volt = car.pack.series() * CurveOf(kind).Volt(0.5);
  if (known()) {
    facts.usable_kwh = about(car.pack.capacity_ah * car.pack.health * volt * usable / 1000);
  }
  if (known()) facts.precharge_ohm = car.high_voltage.precharge_ohm;
  if (random.Chance(0.3)) facts.heat_kj_per_k = about(car.pack.heat_kj_per_k);
  // "From a good session": power over the cube of the speed in the middle of its range.
  if (random.Chance(0.3)) {
    facts.pump_index_w = about(FullLoopIndex(car.loop));
    facts.pump_rpm = (car.loop.rpm_low + car.loop.rpm_high) / 2;
  }
  if (random.Chance(0.3)) facts.flow_index_l = about(car.loop.l_min_per_krpm);
  // Half of those who know the chemistry know which published curve is nearest (chosen).
  if (facts.chemistry == "nmc" && random.Chance(0.5)) facts.curve = PublishedCurveOf(kind);
  return facts;
}

}  // namespace proofdrive::fleet
