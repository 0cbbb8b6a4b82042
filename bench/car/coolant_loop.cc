#include "bench/car/coolant_loop.h"

#include <algorithm>

#include "bench/car/curve.h"

namespace proofdrive::bench {
namespace {

// Chosen for this car.
constexpr double kLoopLitres = 5.2;
constexpr double kTankLitres = 1.0;
constexpr double kLowRpm = 2200;
constexpr double kHighRpm = 4600;
constexpr double kSpinUpSeconds = 0.6;
constexpr double kFlowPerKrpm = 2.2;   // L/min, full of coolant: 10.1 at 4600 rpm
constexpr double kPurgeSeconds = 900;  // air carried to the tank at high speed
constexpr double kEmptyBelow = 0.08;   // litres in the tank
constexpr double kLowBelow = 0.35;
constexpr double kLevelHysteresis = 0.03;
// The pump stops itself after running nearly dry for this long, and tries again later.
constexpr double kDryIndex = 0.35;
constexpr double kDrySeconds = 30;
constexpr double kFaultSeconds = 15;
// Power is 0.98 W/krpm^3 full of coolant; power ~ speed^3 (affinity laws, published; figure from a
// computed example). How it falls with air is chosen: dry running takes about an eighth.
constexpr double kWattPerKrpm3 = 0.98;
constexpr double kDryShare = 0.12;
constexpr double kAirEffect = 2.2;
// A centrifugal pump draws less, not more, against a closed line (from memory; shares chosen).
constexpr double kBlockedPower = 0.30;
constexpr double kBlockedFlow = 0.9;

double LoadShare(double air) { return std::clamp(1 - kAirEffect * air, kDryShare, 1.0); }

}  // namespace

CoolantLoop::CoolantLoop(Random& random, const CoolantSetup& setup)
    : random_(random.Next(), 1),
      litres_(setup.litres),
      air_litres_(setup.air_litres),
      leak_ml_min_(setup.leak_ml_min),
      blocked_(setup.blocked) {
  StepCoolant(0);
  const double tank = litres_ - (kLoopLitres - air_litres_);
  level_ = tank < kEmptyBelow ? CoolantLevel::kEmpty
                              : (tank < kLowBelow ? CoolantLevel::kLow : CoolantLevel::kFull);
}

double CoolantLoop::AirShare() const { return air_litres_ / kLoopLitres; }

double CoolantLoop::LeakRate() const {
  return leak_ml_min_ * (1.0 / 3 + 2.0 / 3 * std::min(speed_rpm_ / kHighRpm, 1.0));
}

void CoolantLoop::Step(double dt, PumpState command, double supply_v) {
  StepProtection(dt, command);
  StepPump(dt, pump_, supply_v);
  StepCoolant(dt);
  StepLevel();
}

void CoolantLoop::StepProtection(double dt, PumpState command) {
  if (pump_ == PumpState::kFault) {
    fault_s_ += dt;
    if (fault_s_ < kFaultSeconds) return;
    dry_s_ = 0;
  }
  pump_ = command;
  const double krpm = speed_rpm_ / 1000;
  const bool spinning = command != PumpState::kOff && speed_rpm_ > 0.8 * kLowRpm;
  const bool dry = spinning && power_w_ < kDryIndex * kWattPerKrpm3 * krpm * krpm * krpm;
  dry_s_ = dry ? dry_s_ + dt : std::max(0.0, dry_s_ - dt);
  if (dry_s_ < kDrySeconds) return;
  pump_ = PumpState::kFault;
  fault_s_ = 0;
}

void CoolantLoop::StepPump(double dt, PumpState command, double supply_v) {
  // Air passes in slugs of a fraction of a second to two seconds.
  slug_left_s_ -= dt;
  if (slug_left_s_ <= 0) {
    slug_left_s_ = random_.Uniform(0.3, 2.0);
    slug_target_ = random_.Uniform(-0.6, 0.6);
  }
  slug_ = Relax(slug_, slug_target_, 0.25, dt);
  const double air = AirShare() * (1 + slug_);
  const double load = LoadShare(air) * (1 - kBlockedPower * blocked_);
  double target = 0;
  if (command == PumpState::kLow) target = kLowRpm;
  if (command == PumpState::kHigh) target = kHighRpm;
  speed_rpm_ = Relax(speed_rpm_, target * (1 + 0.05 * (1 - load)), kSpinUpSeconds, dt);
  const double krpm = speed_rpm_ / 1000;
  power_w_ = target > 0 ? load * kWattPerKrpm3 * krpm * krpm * krpm : 0;
  current_a_ = power_w_ / std::max(supply_v, 6.0);
  flow_l_min_ = kFlowPerKrpm * krpm * load * (1 - kBlockedFlow * blocked_);
}

void CoolantLoop::StepCoolant(double dt) {
  litres_ = std::max(0.0, litres_ - LeakRate() / 60e3 * dt);
  const double share = speed_rpm_ / kHighRpm;
  air_litres_ -= air_litres_ * share * share * dt / kPurgeSeconds;
  // What the tank cannot give back is drawn as air.
  air_litres_ = std::clamp(std::max(air_litres_, kLoopLitres - litres_), 0.0, kLoopLitres);
}

void CoolantLoop::StepLevel() {
  const double tank = std::min(litres_ - (kLoopLitres - air_litres_), kTankLitres);
  if (tank < kEmptyBelow) {
    level_ = CoolantLevel::kEmpty;
  } else if (level_ == CoolantLevel::kEmpty && tank > kEmptyBelow + kLevelHysteresis) {
    level_ = CoolantLevel::kLow;
  }
  if (level_ == CoolantLevel::kFull && tank < kLowBelow) level_ = CoolantLevel::kLow;
  if (level_ == CoolantLevel::kLow && tank > kLowBelow + kLevelHysteresis) {
    level_ = CoolantLevel::kFull;
  }
}

}  // namespace proofdrive::bench
