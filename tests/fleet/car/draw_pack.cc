#include <algorithm>
#include <cmath>
#include <numeric>

#include "tests/fleet/car/draw_car.h"

namespace proofdrive::fleet {
namespace {

// 60 to 216 cells in 1 to 4 parallel strings, at least 100 V and at most 850 V (the fleet's brief):
// strings of fewer cells are only found in packs that have several.
void DrawSize(Random& random, Pack& pack) {
  const double full = LimitsOf(pack.kind).full;
  for (;;) {
    const double dice = random.Uniform(0, 1);
    pack.strings = dice < 0.70 ? 1 : dice < 0.90 ? 2 : dice < 0.95 ? 3 : 4;
    const int series = 16 + static_cast<int>(random.Below(201));
    pack.cells = series * pack.strings;
    const double volt = series * full;
    if (pack.cells >= 60 && pack.cells <= 216 && volt * 0.8 >= 100 && volt <= 850) return;
  }
}

void DrawResistance(Random& random, Pack& pack) {
  // mohm x Ah after 10 s: 60 - 120 energy cells, 20 - 50 power cells (computed from one published
  // cell: 58 Ah, 1.15 mohm; else from memory). Small packs have power cells.
  const bool power = pack.capacity_ah < 60 && random.Chance(0.5);
  const double product = power ? random.Uniform(20, 50) : random.Uniform(60, 120);
  pack.cell_mohm = product / (pack.capacity_ah / pack.strings);
  // Published 58 Ah cell: R0 1.16, R1 0.15 (3 s), R2 0.19 (24 s), the third branch 137 - 153 s is
  // left out of its table (looked up). What comes after minutes and hours: chosen so that 1 to
  // 5 mV are left after an hour.
  const double one = random.Uniform(0.08, 0.18);
  const double two = random.Uniform(0.05, 0.20);
  pack.share = {1 - one - two, one, two / 0.34, random.Uniform(0.2, 0.5),
                random.Uniform(0.05, 0.25)};
  pack.tau_s = {random.Uniform(2, 5), random.Uniform(20, 30), random.Uniform(120, 300),
                random.Uniform(900, 2400)};
  // 20 - 30 kJ/mol above 10 degC, 30 - 50 below 0 (from memory; single processes looked up: 17 to
  // 53).
  pack.warm_kj = random.Uniform(20, 30);
  pack.cold_kj = random.Uniform(30, 50);
  // Fuse 0.15 - 0.8 mohm, joints 10 - 50 uohm each, path besides cells 5 - 15 mohm at 400 V (from
  // memory): here per cell in series.
  pack.joint_mohm =
      (random.Uniform(0.15, 0.8) + pack.series() * random.Uniform(0.010, 0.060)) / pack.strings;
}

void DrawScatter(Random& random, Pack& pack) {
  const auto count = static_cast<std::size_t>(pack.cells);
  // One standard deviation 0.5 - 8 mV at rest (the fleet's brief), as millivolts of an NMC cell at
  // half charge, 9 mV per % (looked up); a healthy pack keeps below 28 mV from end to end: used
  // packs reach 20, service texts look closer from 20 - 50 (from memory).
  const double percent = random.LogUniform(0.5, 8) / 9;
  for (std::size_t i = 0; i < count; ++i) {
    pack.charge_offset.push_back(percent / 100 * random.ClippedNormal(2.5));
  }
  const auto [low, high] =
      std::minmax_element(pack.charge_offset.begin(), pack.charge_offset.end());
  const double shrink = std::min(1.0, 28.0 / 9 / 100 / (*high - *low));
  for (double& offset : pack.charge_offset) offset *= shrink;
  // Impedance 0.45 - 3.8 % (looked up, new cells of one batch), 7 % in 11 used ones (computed from
  // a published table); capacity 0.17 - 0.3 % new (looked up), 1 % used (chosen).
  const double ohm = random.LogUniform(0.005, 0.06);
  const double ah = random.LogUniform(0.0015, 0.01);
  const double channel = random.LogUniform(0.1, 1.5) / 1000;  // V, chosen
  for (std::size_t i = 0; i < count; ++i) {
    pack.ohm_factor.push_back(1 + ohm * random.ClippedNormal(2.8));
    pack.capacity_factor.push_back(1 + ah * random.ClippedNormal(2.5));
    pack.volt_offset.push_back(channel * random.ClippedNormal(2));
  }
}

// Strings share the current by their resistances (Ohm's law; their own leads differ by 5 %,
// chosen).
void ShareCurrent(Random& random, Pack& pack) {
  for (int i = 0; i < pack.strings; ++i) {
    const auto first = pack.ohm_factor.begin() + i * pack.series();
    const double ohm = std::accumulate(first, first + pack.series(), 0.0) / pack.series();
    pack.string_share.push_back(1 / (ohm * (1 + 0.02 * random.ClippedNormal(2))));
  }
  const double sum = std::accumulate(pack.string_share.begin(), pack.string_share.end(), 0.0);
  for (double& share : pack.string_share) share /= sum;
}

void DrawTemperatures(Random& random, Pack& pack) {
  // 4 to 24 sensors, one for 4 to 20 cells (chosen).
  pack.sensors = 4 + static_cast<int>(random.Below(21));
  // Sensors of 0.5 K each (trade), one standard deviation 0.2 here; places differ by up to a tenth
  // of the pack's rise over the coolant (chosen; published: below 5 K across a pack).
  const double spread = random.Uniform(0.05, 0.2);
  for (int i = 0; i < pack.sensors; ++i) {
    pack.gradient.push_back(spread * random.ClippedNormal(1.8));
    pack.sensor_offset_k.push_back(0.2 * random.ClippedNormal(2));
  }
}

}  // namespace

Pack DrawPack(Random random) {
  Pack pack;
  pack.kind = random.Pick(AllCellKinds());
  DrawSize(random, pack);
  // 20 - 250 Ah (the fleet's brief).
  pack.capacity_ah = random.LogUniform(20, 250);
  // Cars guarantee 70 - 80 % over their life (UN GTR 22, from memory; Euro 7, looked up): healthy
  // is above the 80 % that the checks call worth a look, with room for the count's own error.
  pack.health = random.Uniform(0.86, 1.02);
  pack.start_charge = random.Uniform(0.3, 0.95);
  DrawResistance(random, pack);
  DrawScatter(random, pack);
  ShareCurrent(random, pack);
  DrawTemperatures(random, pack);
  // 800 - 1145 J/(kg K) (looked up) at 5 - 7 kg per kWh of cells (computed from 150 - 200 Wh/kg
  // packs, from memory).
  const double kwh = pack.capacity_ah * pack.series() * CurveOf(pack.kind).Volt(0.5) / 1000;
  pack.heat_kj_per_k = kwh * random.Uniform(5, 7) * random.Uniform(0.8, 1.145);
  return pack;
}

}  // namespace proofdrive::fleet
