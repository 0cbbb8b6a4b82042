#include "tests/support/long_car.h"

#include <algorithm>
#include <cmath>

namespace proofdrive::testing {
namespace {

constexpr double kStep = 0.01;            // s
constexpr double kCapacity = 160 * 3600;  // As
constexpr double kCellOhm = 0.0009;

double OpenVolt(double charge) { return 3.3 + 0.85 * charge; }

// Goes to `to` with the time constant, in s.
void Follow(double to, double tau, double& value) { value += (to - value) * kStep / tau; }

}  // namespace

LongCar::LongCar(std::uint64_t seed) : random_(seed * 0x9E3779B97F4A7C15ULL + 1) {
  for (double& off : cell_off_) off = 0.006 * (Random() - 0.5);
  for (double& off : sensor_off_) off = 1.6 * (Random() - 0.5);
}

double LongCar::Random() {
  random_ ^= random_ << 13;
  random_ ^= random_ >> 7;
  random_ ^= random_ << 17;
  return static_cast<double>(random_ >> 11) * 0x1p-53;
}

double LongCar::Cell(std::size_t number) const { return cell_v_ + cell_off_[number]; }

void LongCar::Begin(Does does, double least_min, double most_min) {
  last_ = does_;
  does_ = does;
  since_s_ = 0;
  left_s_ = std::round(60 * (least_min + (most_min - least_min) * Random()));
}

// Parked before and after everything; then asleep, on the road or at the plug.
void LongCar::NextPart() {
  if (does_ != Does::kParked) return Begin(Does::kParked, 2, 4);
  if (last_ == Does::kSleeps) return Begin(Does::kDrives, 20, 60);
  const bool plug = last_ == Does::kDrives && (state_.charge < 0.4 || Random() < 0.4);
  if (plug) return Begin(Does::kCharges, 50, 150);
  Begin(Does::kSleeps, 15, 90);
}

void LongCar::SleepToTheEnd() {
  left_s_ = 0;
  NextPart();
}

void LongCar::Step() {
  since_s_ += kStep;
  left_s_ -= kStep;
  state_.driving = does_ == Does::kDrives;
  state_.charging = does_ == Does::kCharges && since_s_ > 5 && state_.charge < 0.98;
  const bool on = state_.driving || does_ == Does::kCharges;
  state_.contactor = !on ? 0 : since_s_ < 0.8 ? 1 : 2;
  Drive();
  Power();
  Warm();
  if (left_s_ <= 0) NextPart();
}

void LongCar::Drive() {
  until_target_ -= kStep;
  if (until_target_ <= 0) {
    state_.target = Random() < 0.2 ? 0 : 20 + 110 * Random();
    until_target_ = 5 + 25 * Random();
  }
  const bool moving = state_.driving && since_s_ > 10 && left_s_ > 30;
  const double wish = moving ? state_.target : 0;
  const double change = std::clamp(wish - state_.speed, -12 * kStep, 8 * kStep);
  state_.speed = std::max(0.0, state_.speed + change);
  state_.odometer += state_.speed * kStep / 3600;
  const double power = 300 * state_.speed + 12 * state_.speed * state_.speed / 10 * 2 +
                       change / kStep * state_.speed * 90;  // W
  state_.amps = state_.driving && state_.contactor == 2 ? 2 + power / 360 : 0;
  if (state_.charging) state_.amps = -90 * std::min(1.0, (1 - state_.charge) / 0.15);
}

void LongCar::Power() {
  state_.charge = std::clamp(state_.charge - state_.amps * kStep / kCapacity, 0.02, 1.0);
  cell_v_ = OpenVolt(state_.charge) - kCellOhm * state_.amps;
  state_.pack_v = cell_v_ * kLongCells;
  const double link = state_.contactor == 0 ? 0 : state_.pack_v;
  if (state_.contactor == 2) state_.link_v = state_.pack_v - 0.0004 * state_.amps;
  if (state_.contactor != 2) Follow(link, state_.contactor == 1 ? 0.12 : 2, state_.link_v);
  Follow(state_.contactor == 2 ? 14.1 : 12.4, 3, state_.supply_v);
}

void LongCar::Warm() {
  const double heat = state_.amps * state_.amps * 1.4e-7;  // K/s
  state_.pack_c += kStep * (heat - (state_.pack_c - state_.ambient) / 20'000);
  state_.motor_c += kStep * (state_.speed / 400 - (state_.motor_c - state_.ambient) / 900);
  const bool pump = state_.contactor == 2;
  Follow(pump ? 2400 : 0, 2, state_.pump_rpm);
  Follow(state_.pack_c - (pump ? 2 : 0), 60, state_.inlet);
  Follow(state_.pack_c - (pump ? 1 : 0), 60, state_.outlet);
}

}  // namespace proofdrive::testing
