#include "bench/frames/fill_drive.h"

namespace proofdrive::bench {
namespace {

constexpr double kKmhPerMps = 3.6;
// Made-up distance on the odometer when the story begins, km.
constexpr double kOdometerKm = 48213.4;

enum DriveMode : std::uint8_t { kPark = 0, kDrive = 3 };

double WheelSpeed(const Car& car, Random& noise) {
  const double kmh = kKmhPerMps * car.drive().speed_mps();
  return kmh > 0 ? kmh * (1 + 0.002 * noise.Normal()) : 0;
}

}  // namespace

void FillMotion(const Car& car, std::uint8_t, Random& noise, Payload& payload) {
  payload.PutUnsigned(0, 2, kKmhPerMps * car.drive().speed_mps(), 0.01);
  payload.PutSigned(2, 2, car.drive().acceleration() + 0.01 * noise.Normal(), 0.001);
  payload.PutBits(4, 0, 2, car.drive().in_drive() ? kDrive : kPark);
}

void FillMotor(const Car& car, std::uint8_t, Random& noise, Payload& payload) {
  const DriveCycle& drive = car.drive();
  payload.PutSigned(0, 2, drive.motor_rpm(), 1);
  const double noisy = drive.in_drive() ? drive.torque_nm() + 0.2 * noise.Normal() : 0;
  payload.PutSigned(2, 2, noisy, 0.1);
  payload.PutUnsigned(4, 1, drive.inverter_c(), 1, -40);
}

void FillPedals(const Car& car, std::uint8_t, Random&, Payload& payload) {
  payload.PutUnsigned(0, 1, car.drive().accelerator(), 0.5);
  payload.PutUnsigned(1, 1, car.drive().brake(), 0.5);
  payload.PutBits(2, 7, 1, car.drive().brake() > 0 ? 1 : 0);
}

void FillWheels(const Car& car, std::uint8_t, Random& noise, Payload& payload) {
  for (int wheel = 0; wheel < 4; ++wheel) {
    payload.PutUnsigned(2 * wheel, 2, WheelSpeed(car, noise), 0.01);
  }
}

void FillSupply(const Car& car, std::uint8_t, Random& noise, Payload& payload) {
  payload.PutUnsigned(0, 2, car.supply().voltage() + 0.01 * noise.Normal(), 0.01);
  payload.PutUnsigned(2, 2, car.supply().converter_a(), 0.1);
  payload.PutBits(4, 0, 2, car.supply().converter_on() ? 1 : 0);
}

void FillBody(const Car& car, std::uint8_t, Random&, Payload& payload) {
  // Somebody works under the bonnet whenever the car is not driven.
  payload.PutBits(0, 0, 1, car.scenario().drive_seconds > 0 ? 0 : 1);
  payload.PutBits(1, 0, 1, car.drive().brake() > 0 ? 1 : 0);
}

void FillRestraint(const Car& car, std::uint8_t, Random&, Payload& payload) {
  payload.PutBits(0, 0, 2, car.crash_latched() ? 1 : 0);
  payload.PutBits(0, 4, 2, car.restraint_ready() ? 1 : 0);
  payload.PutInteger(1, 1, car.crash_latched() ? 1 : 0);
}

void FillCluster(const Car& car, std::uint8_t, Random&, Payload& payload) {
  payload.PutUnsigned(0, 2, car.DisplayedRange(), 1);
  const double shift = car.scenario().defects.sender.charge_shift;
  const double shown = car.cells().MeanCharge() + shift;
  payload.PutUnsigned(2, 1, car.scenario().defects.sender.charge_lost ? 0 : 100 * shown, 1);
  payload.PutUnsigned(3, 3, kOdometerKm + car.drive().distance_m() / 1000, 0.1);
}

void FillVersions(const Car& car, std::uint8_t, Random&, Payload& payload) {
  const Version versions[] = {car.scenario().pack_software, car.scenario().inverter_software,
                              car.scenario().cluster_software};
  int byte = 0;
  for (const Version& version : versions) {
    payload.PutInteger(byte++, 1, version.major);
    payload.PutInteger(byte++, 1, version.minor);
  }
}

}  // namespace proofdrive::bench
