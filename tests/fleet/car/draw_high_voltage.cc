#include <algorithm>
#include <cmath>

#include "tests/fleet/car/draw_car.h"

namespace proofdrive::fleet {

HighVoltage DrawHighVoltage(Random random) {
  HighVoltage high;
  // 30 - 100 ohm (pre-charge design notes, looked up), a little wider here; 0.5 - 3 mF (chosen
  // around the 2 mF of the published example). Together 0.1 - 0.5 s in most cars (from memory).
  high.precharge_ohm = random.Uniform(20, 100);
  high.link_farad = random.LogUniform(0.5e-3, 3e-3);
  // 90 - 99.5 % (the fleet's brief): a contactor's data sheet gives 50 000 closings at 90 % and 50
  // at 80 % (looked up); usual is 95 % (looked up).
  high.closing_share = random.Uniform(0.90, 0.995);
  high.hold_s = random.Uniform(0.02, 0.3);  // chosen
  // From active in 0.5 s to passive in 300 s (the fleet's brief; active 2 - 5 s, passive 60 - 120 s
  // and up to 5 min, from memory).
  high.discharge_s = random.LogUniform(0.5, 300);
  // 60 mV at 200 A each, 0.3 mohm, for a 400 A contactor (data sheet, looked up): two of them, new
  // to worn.
  high.contact_mohm = random.Uniform(0.2, 0.9);
  // Cable and plugs to the inverter, when it sends the link voltage (chosen: 1 - 3 m of 35 - 95 mm2
  // both ways are 0.4 - 3 mohm).
  high.cable_mohm = random.Chance(0.5) ? random.Uniform(0.4, 3) : 0.05;
  return high;
}

Insulation DrawInsulation(Random random, const Pack& pack, const Use& use) {
  Insulation insulation;
  // 0.2 - 50 Mohm (the fleet's brief; 1 - 10 dry, 0.5 - 2 damp, from memory), and well above
  // 500 ohm/V (UN R100, looked up), or the car would not be healthy: 700, because monitors are off
  // by up to 15 %.
  const double least = std::max(200.0, 0.7 * pack.highest_v());
  insulation.kohm = random.LogUniform(least, 50000);
  // Damp cars are at the low end: up to tenfold from 30 to 95 % of humidity (from memory).
  const double damp = std::pow(10, -random.Uniform(0, 1) * (use.humidity - 0.3) / 0.65);
  insulation.kohm = std::max(least, insulation.kohm * damp);
  // Symmetric and not (the fleet's brief): half of the cars, the others up to 9 to 1.
  insulation.positive_share = random.Chance(0.5) ? 0.5 : random.Uniform(0.1, 0.9);
  insulation.vehicle_share = random.Uniform(0.1, 0.8);  // chosen
  // Halves per 10 K (from memory, coolant and potting): 10 to 40 here.
  insulation.kelvin_to_halve = random.LogUniform(10, 40);
  insulation.line_farad = random.LogUniform(0.1e-6, 2e-6);  // 0.2 J at 450 V is 2 uF (computed)
  insulation.monitor = static_cast<MonitorKind>(random.Below(4));
  // Ceilings of 5 - 20 Mohm (from memory), smaller ones with fewer bits.
  if (insulation.monitor == MonitorKind::kSaturates) {
    insulation.ceiling_kohm = std::max(least * 1.3, random.LogUniform(1000, 20000));
  }
  insulation.hold_s = insulation.monitor == MonitorKind::kHolds ? random.LogUniform(10, 120)
                                                                : random.LogUniform(0.5, 5);
  insulation.average_s = random.LogUniform(1, 20);
  insulation.test_s = insulation.monitor == MonitorKind::kTests ? random.Uniform(2, 15) : 0;
  return insulation;
}

}  // namespace proofdrive::fleet
