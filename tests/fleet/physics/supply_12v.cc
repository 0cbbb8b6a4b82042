#include "tests/fleet/physics/supply_12v.h"

#include <algorithm>
#include <cmath>

namespace proofdrive::fleet {
namespace {

constexpr double kConverterStarts = 1.5;  // s
constexpr double kEcoAfter = 120;         // s of driving
constexpr double kFaultAfter = 200;       // s of driving, when a defect begins
constexpr double kSurfaceSeconds = 1800;
constexpr double kMost = 15.5;  // V, in the cold

}  // namespace

Supply12v::Supply12v(const Car& car) : car_(car), volt_(car.supply.rested_v) {}

double Supply12v::Charging() const {
  const Supply& supply = car_.supply;
  if (car_.defects.over_v > 0 && drive_s_ > kFaultAfter) return car_.defects.over_v;
  if (supply.eco && drive_s_ > kEcoAfter) return supply.eco_v;
  return std::clamp(supply.normal_v + supply.cold_v_per_k * (25 - car_.use.ambient_c), 13.1, kMost);
}

void Supply12v::Step(bool awake, bool high_voltage, bool driving, double seconds) {
  const Supply& supply = car_.supply;
  const Defects& defects = car_.defects;
  up_s_ = high_voltage ? up_s_ + seconds : 0;
  awake_s_ = awake ? awake_s_ + seconds : 0;
  if (driving) drive_s_ += seconds;
  const bool failed = drive_s_ > kFaultAfter && off_s_ < defects.converter_off_s;
  if (failed) off_s_ += seconds;
  converter_ = high_voltage && up_s_ > kConverterStarts && !failed;
  if (converter_) {
    volt_ += (Charging() - volt_) * (1 - std::exp(-seconds / 0.3));
    surface_v_ = supply.lithium ? 0.1 : 0.4;
  } else {
    surface_v_ *= std::exp(-seconds / kSurfaceSeconds);
    // 40 A more while driving, and the battery runs down.
    const double amps = failed ? supply.awake_amps + 40 : awake ? supply.awake_amps : 1;
    const double dip = awake_s_ > 0 && awake_s_ < 1 ? supply.wake_dip_v : 0;
    const double run_down = failed ? std::min(1.5, 0.3 + 0.002 * off_s_) : 0;
    if (failed) surface_v_ = 0;
    volt_ = supply.rested_v + surface_v_ - amps * supply.milliohm / 1000 - dip - run_down;
  }
  const bool sags = defects.sag_v > 0 && drive_s_ > kFaultAfter && drive_s_ < kFaultAfter + 1;
  if (sags) volt_ = std::min(volt_, defects.sag_v);
}

}  // namespace proofdrive::fleet
