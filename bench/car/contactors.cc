#include "bench/car/contactors.h"

#include "bench/car/curve.h"

namespace proofdrive::bench {
namespace {

// Closing at 95 % of pack voltage, given up after 2 s (usual: published).
constexpr double kCloseAbove = 0.95;
constexpr double kPrechargeLimitSeconds = 2;
constexpr double kRetrySeconds = 10;
// Active discharge to below 60 V in under 5 s, as ISO 6469-4 asks within 10 s of a crash
// (published); afterwards only the passive resistor works. Resistors chosen.
constexpr double kDischargeOhm = 900;
constexpr double kDischargeSeconds = 6;
constexpr double kPassiveOhm = 30e3;
constexpr int kSubSteps = 10;

}  // namespace

double Contactors::PrechargeCurrent(double pack_v) const {
  return state_ == ContactorState::kPrecharge ? (pack_v - link_v_) / kPrechargeOhm : 0;
}

void Contactors::StepLink(double dt, double pack_v, double discharge_a) {
  const bool closed = state_ == ContactorState::kClosed;
  if (defect_.welded || (closed && !defect_.never_close)) {
    link_v_ = pack_v - (closed ? defect_.contact_ohm * discharge_a : 0);
    return;
  }
  if (defect_.one_welded && state_ == ContactorState::kPrecharge) {
    link_v_ = pack_v;
    return;
  }
  const bool active = in_state_s_ < kDischargeSeconds && closings_ > 0 && !defect_.no_bleed;
  const bool charging = state_ == ContactorState::kPrecharge;
  double ohm = charging ? kPrechargeOhm : active ? kDischargeOhm : kPassiveOhm;
  double target = charging ? pack_v : 0;
  if (defect_.load_ohm > 0) {
    target *= defect_.load_ohm / (defect_.load_ohm + ohm);
    ohm = ohm * defect_.load_ohm / (ohm + defect_.load_ohm);
  }
  for (int i = 0; i < kSubSteps; ++i) {
    link_v_ = Relax(link_v_, target, ohm * kLinkFarad, dt / kSubSteps);
  }
}

void Contactors::Try(std::uint8_t inhibit) {
  retry_s_ = kRetrySeconds;
  if (inhibit != 0) {
    ++refusals_;
    last_reasons_ = inhibit;
    return;
  }
  state_ = ContactorState::kPrecharge;
  in_state_s_ = 0;
}

void Contactors::Step(double dt, bool requested, std::uint8_t inhibit, double pack_v,
                      double discharge_a) {
  in_state_s_ += dt;
  retry_s_ -= dt;
  if (!requested) retry_s_ = 0;
  if (state_ != ContactorState::kOpen && (!requested || inhibit != 0)) {
    if (inhibit != 0) last_reasons_ = inhibit;
    state_ = ContactorState::kOpen;
    in_state_s_ = 0;
    retry_s_ = kRetrySeconds;
  }
  if (state_ == ContactorState::kOpen && requested && retry_s_ <= 0) Try(inhibit);
  StepLink(dt, pack_v, discharge_a);
  if (state_ != ContactorState::kPrecharge) return;
  if (link_v_ >= kCloseAbove * pack_v) {
    state_ = ContactorState::kClosed;
    last_precharge_s_ = in_state_s_;
    ++closings_;
  } else if (in_state_s_ > kPrechargeLimitSeconds) {
    state_ = ContactorState::kOpen;
  } else {
    return;
  }
  in_state_s_ = 0;
}

}  // namespace proofdrive::bench
