// Main contactors with pre-charge, and the capacitors of the high-voltage link behind them.
#pragma once

#include <cstdint>

#include "bench/car/defects.h"

namespace proofdrive::bench {

// Values as sent on the bus.
enum class ContactorState : std::uint8_t { kOpen = 0, kPrecharge = 1, kClosed = 2 };
// Why closing is not permitted; bits as sent on the bus.
enum InhibitReason : std::uint8_t {
  kInhibitCrash = 0x01,
  kInhibitInsulation = 0x02,
  kInhibitInterlock = 0x04,
  kInhibitSupply = 0x08,
};

// 30 - 100 ohm is usual (published); the link capacitance is chosen. Product: 149.6 ms.
inline constexpr double kPrechargeOhm = 68;
inline constexpr double kLinkFarad = 2.2e-3;

class Contactors {
 public:
  explicit Contactors(const ContactorDefect& defect = {}) : defect_(defect) {}

  // `requested`: the driver wants to go. `inhibit`: reasons against, 0 = permitted. `discharge_a`
  // goes through them while closed.
  void Step(double dt, bool requested, std::uint8_t inhibit, double pack_v, double discharge_a = 0);

  ContactorState state() const { return state_; }
  double link_v() const { return link_v_; }
  bool closed() const { return state_ == ContactorState::kClosed; }
  std::uint32_t closings() const { return closings_; }
  std::uint32_t refusals() const { return refusals_; }
  // Reasons of the last refusal or opening, 0 = none yet.
  std::uint8_t last_reasons() const { return last_reasons_; }
  // Length of the last completed pre-charge, s; 0 = none yet.
  double last_precharge_s() const { return last_precharge_s_; }
  // Current through the pre-charge resistor now, A.
  double PrechargeCurrent(double pack_v) const;

 private:
  void StepLink(double dt, double pack_v, double discharge_a);
  void Try(std::uint8_t inhibit);

  ContactorDefect defect_;
  ContactorState state_ = ContactorState::kOpen;
  double link_v_ = 0;
  double in_state_s_ = 0;
  double retry_s_ = 0;
  double last_precharge_s_ = 0;
  std::uint32_t closings_ = 0;
  std::uint32_t refusals_ = 0;
  std::uint8_t last_reasons_ = 0;
};

}  // namespace proofdrive::bench
