#include "tests/fleet/physics/life.h"

#include <algorithm>
#include <cmath>

#include "tests/fleet/physics/cooling.h"
#include "tests/fleet/physics/driver.h"
#include "tests/fleet/physics/pack_model.h"
#include "tests/fleet/physics/supply_12v.h"

namespace proofdrive::fleet {
namespace {

constexpr double kStopSeconds = 40;  // before the end of a drive
constexpr double kWeldedPoleSeconds = 0.004;
constexpr double kBelow = 60;  // V, to which a link is discharged

class Simulation {
 public:
  explicit Simulation(const Car& car)
      : car_(car),
        random_(Random(car.seed).Fork("life")),
        pack_(car.pack),
        cooling_(random_.Fork("cooling"), car),
        supply_(car),
        driver_(random_.Fork("driver"), car.use) {}

  Life Run() {
    for (const Stage& stage : car_.use.stages) {
      const double from = t_;
      stage_ = stage.kind;
      Play(stage);
      life_.phases.push_back({stage.kind, from, t_});
    }
    life_.length_s = t_;
    ShareRest();
    return std::move(life_);
  }

 private:
  void Play(const Stage& stage) {
    const bool up = stage.kind == StageKind::kReady || stage.kind == StageKind::kDrive ||
                    (stage.kind == StageKind::kCharge && ChargeGoesOn());
    if (up && hv_ == HvState::kOpen && CanClose()) Close();
    if (!up && hv_ == HvState::kClosed) Open();
    if (!up && stage.kind == StageKind::kCharge) return;
    const double end = t_ + stage.seconds;
    if (stage.kind == StageKind::kDrive) cooling_.StandStill();
    while (t_ < end) {
      if (stage.kind == StageKind::kCharge && !ChargeGoesOn()) break;
      const double step = std::min(StepOf(stage.kind), end - t_ + 1e-9);
      Advance(step, Demand(stage.kind, step, end - t_));
    }
  }

  bool CanClose() const { return car_.defects.terminal_share >= 1; }
  bool CurrentFlows() const { return hv_ == HvState::kClosed && car_.defects.open_path_share < 0; }

  double StepOf(StageKind kind) const {
    switch (kind) {
      case StageKind::kWake:
      case StageKind::kReady:
      case StageKind::kDrive:
        return 0.1;
      case StageKind::kCharge:
        return 1;
      case StageKind::kRest:
        return t_ - opened_s_ < 2 ? 0.05 : t_ - opened_s_ < 60 ? 0.5 : 5;
    }
    return 1;
  }

  // Power asked from the pack, W.
  double Demand(StageKind kind, double step, double left) {
    if (!CurrentFlows()) return 0;
    const double own = car_.use.auxiliary_w;
    if (kind == StageKind::kDrive) return own + driver_.Power(step, left < kStopSeconds);
    if (kind != StageKind::kCharge) return own + driver_.Power(step, true);
    const double taper = std::clamp((0.99 - pack_.charge()) / 0.2, 0.1, 1.0);
    return -car_.use.charge_c_rate * taper * car_.pack.capacity_ah * moment_.pack_v;
  }

  // Data sheets charge from 0 degC on (looked up).
  bool ChargeGoesOn() const { return pack_.charge() < 0.985 && cooling_.pack_c() > 0; }

  double Amps(double demand_w) const {
    if (!CurrentFlows()) {
      if (stage_ != StageKind::kRest || car_.defects.terminal_share < 1) return 0;
      const double ah_per_day =
          car_.pack.capacity_ah * car_.pack.health * car_.defects.standby_percent / 100;
      return car_.use.standby_w / std::max(moment_.pack_v, 20.0) + ah_per_day / 24;
    }
    const double volt = std::max(moment_.pack_v, 20.0);
    const double most = std::max(pack_.MostAmps(cooling_.pack_c()), 0.1 * car_.pack.capacity_ah);
    // Cold or full cells take little back.
    const double c_rate = cooling_.pack_c() < 0 ? 0.01 : 2;
    const double room = std::clamp((1 - pack_.charge()) / 0.1, 0.0, 1.0);
    const double taken =
        std::min(c_rate * room * car_.pack.capacity_ah, pack_.MostChargeAmps(cooling_.pack_c()));
    return std::clamp(demand_w / volt, -taken, most);
  }

  void Advance(double seconds, double demand_w) {
    t_ += seconds;
    const double amps = Amps(demand_w);
    pack_.Step(amps, cooling_.pack_c(), seconds);
    const bool awake = stage_ != StageKind::kRest;
    const double cells = car_.pack.series() * amps * pack_.overvoltage();
    const double heat = cells + amps * amps * car_.pack.joint_mohm / 1000;
    cooling_.Step(heat, awake && hv_ == HvState::kClosed, seconds);
    supply_.Step(awake, hv_ == HvState::kClosed, stage_ == StageKind::kDrive, seconds);
    moment_.pack_v = pack_.PackVolt(amps) * car_.defects.terminal_share;
    MoveLink(amps, seconds);
    Note(amps, heat, seconds);
  }

  void Note(double amps, double heat, double seconds) {
    moment_.t = t_;
    moment_.amps = amps;
    moment_.charge = pack_.charge();
    moment_.over_v = pack_.overvoltage();
    moment_.pack_c = cooling_.pack_c();
    moment_.inlet_c = cooling_.inlet_c();
    moment_.outlet_c = cooling_.outlet_c();
    moment_.rpm = cooling_.rpm();
    moment_.pump_w = cooling_.pump_w();
    moment_.l_min = cooling_.l_min();
    moment_.supply_v = supply_.volt();
    moment_.kmh = CurrentFlows() ? driver_.kmh() : 0;
    moment_.km += moment_.kmh * seconds / 3600;
    moment_.shown = Shown();
    moment_.heat_w = heat;
    moment_.hv = hv_;
    moment_.charging = stage_ == StageKind::kCharge && hv_ == HvState::kClosed;
    moment_.pump_told = cooling_.told_to_run();
    moment_.converter = supply_.converter();
    life_.moments.push_back(moment_);
  }

  double Shown() const {
    const Display& display = car_.display;
    const double usable = 1 - display.hidden_low - display.hidden_high;
    const double share = (pack_.charge() - display.hidden_low) / usable;
    const double settled = opened_s_ >= 0 && stage_ == StageKind::kRest
                               ? 1 - std::exp(-(t_ - opened_s_) / display.settle_s)
                               : 0;
    return std::clamp(100 * share * (1 + display.gain_error) - display.settle_percent * settled +
                          car_.defects.shown_off,
                      0.0, 100.0);
  }

  void MoveLink(double amps, double seconds) {
    double& link = moment_.link_v;
    const double pack = moment_.pack_v;
    const HighVoltage& high = car_.high_voltage;
    if (hv_ == HvState::kClosed) {
      link = car_.defects.open_path_share >= 0
                 ? car_.defects.open_path_share * pack
                 : pack - amps * (high.contact_mohm + high.cable_mohm) / 1000;
    } else if (hv_ == HvState::kPrecharge) {
      link += (precharge_end_ * pack - link) * (1 - std::exp(-seconds / precharge_tau_s_));
    } else if (car_.defects.welded && opened_s_ >= 0) {
      link = pack;
    } else {
      const double decay = std::log(std::max(car_.pack.highest_v(), 70.0) / kBelow);
      link *= std::exp(-seconds * decay / high.discharge_s);
    }
  }

  void Precharge(double end_share, double tau_s, double least_s) {
    hv_ = HvState::kPrecharge;
    precharge_end_ = end_share;
    precharge_tau_s_ = tau_s;
    const double from = t_;
    const double step = std::clamp(tau_s / 20, 0.0005, 0.01);
    while (t_ - from < least_s && t_ - from < 20) Advance(step, 0);
  }

  void Close() {
    const HighVoltage& high = car_.high_voltage;
    const Defects& defects = car_.defects;
    double tau = high.precharge_ohm * high.link_farad;
    const double needed = -std::log(1 - high.closing_share);
    if (defects.precharge_s > 0) tau = defects.precharge_s / needed;
    for (int i = 0; i < defects.failed_precharges; ++i) {
      Precharge(defects.failed_share, tau, std::max(1.0, 3 * tau));
      hv_ = HvState::kOpen;
      Wait(2);
    }
    if (defects.welded_pole) {
      Precharge(1, kWeldedPoleSeconds, std::max(0.1, tau * needed));
    } else {
      Precharge(1, tau, tau * needed);
      // It stays where it is heading while the unit makes up its mind.
      precharge_end_ = moment_.link_v / moment_.pack_v;
      Wait(high.hold_s);
    }
    hv_ = HvState::kClosed;
    Wait(0.05);
  }

  void Open() {
    opened_s_ = t_;
    hv_ = HvState::kOpen;
  }

  void Wait(double seconds) {
    const double end = t_ + seconds;
    while (t_ < end) Advance(std::min(0.02, end - t_ + 1e-6), 0);
  }

  void ShareRest() {
    const Phase last = life_.phases.back();
    for (Moment& moment : life_.moments) {
      if (moment.t > last.from_s) {
        moment.rest_share = (moment.t - last.from_s) / (last.to_s - last.from_s);
      }
    }
  }

  const Car& car_;
  Random random_;
  PackModel pack_;
  Cooling cooling_;
  Supply12v supply_;
  Driver driver_;
  Life life_;
  Moment moment_;
  StageKind stage_ = StageKind::kWake;
  HvState hv_ = HvState::kOpen;
  double t_ = 0;
  double opened_s_ = -1;
  double precharge_end_ = 1;
  double precharge_tau_s_ = 0.05;
};

}  // namespace

Life Live(const Car& car) { return Simulation(car).Run(); }

const Moment& Clock::next() const {
  return life_->moments[std::min(index_ + 1, life_->moments.size() - 1)];
}

void Clock::Seek(double t) {
  while (index_ + 1 < life_->moments.size() && life_->moments[index_ + 1].t <= t) ++index_;
  const double span = next().t - now().t;
  part_ = span > 0 ? std::clamp((t - now().t) / span, 0.0, 1.0) : 0;
}

}  // namespace proofdrive::fleet
