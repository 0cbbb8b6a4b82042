// An invented car over days, in steps of 10 ms: parked, driven, charged, asleep. Made from a seed,
// always the same. Simple on purpose: for long recordings, not for judging checks.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>

namespace proofdrive::testing {

inline constexpr std::size_t kLongCells = 96;
inline constexpr std::size_t kLongSensors = 24;

// What the car sends of itself.
struct LongCarState {
  double pack_v = 0, link_v = 0, amps = 0;  // positive: discharge
  double charge = 0.8;                      // 0..1
  double speed = 0, target = 0;             // km/h
  double odometer = 41'300;                 // km
  double pump_rpm = 0, inlet = 18, outlet = 18, pack_c = 18, motor_c = 18, ambient = 14;
  double supply_v = 12.4;
  double isolation = 4000;  // kohm
  int contactor = 0;        // 0 open, 1 precharging, 2 closed
  bool driving = false, charging = false;
};

class LongCar {
 public:
  enum class Does { kParked, kDrives, kCharges, kSleeps };

  explicit LongCar(std::uint64_t seed);

  // What it does now; frames are sent unless it sleeps.
  Does does() const { return does_; }
  double seconds_left() const { return left_s_; }
  const LongCarState& state() const { return state_; }
  double Cell(std::size_t number) const;
  double Sensor(std::size_t number) const { return state_.pack_c + sensor_off_[number]; }

  void Step();           // 10 ms
  void SleepToTheEnd();  // REQUIRES: it sleeps
  // The next of a row that only depends on the seed, 0..1.
  double Random();

 private:
  void NextPart();
  void Begin(Does does, double least_min, double most_min);
  void Drive();
  void Power();
  void Warm();

  std::uint64_t random_;
  Does does_ = Does::kParked;
  Does last_ = Does::kSleeps;
  double left_s_ = 120;
  double since_s_ = 0;       // in this part
  double until_target_ = 0;  // s until it wants another speed
  double cell_v_ = 3.9;
  std::array<double, kLongCells> cell_off_{};
  std::array<double, kLongSensors> sensor_off_{};
  LongCarState state_;
};

}  // namespace proofdrive::testing
