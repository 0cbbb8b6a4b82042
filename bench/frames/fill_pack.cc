#include "bench/frames/fill_pack.h"

#include <algorithm>

namespace proofdrive::bench {
namespace {

constexpr std::size_t kCellsPerPage = 3;
constexpr std::size_t kSensorsPerPage = 6;
constexpr double kMonitorCeilingOhm = 5e6;

// A 12-bit temperature in steps of 0.1 degC from -40 on; 0xFFF is kept free.
std::uint64_t Temperature12(double celsius, Random& noise) {
  return static_cast<std::uint64_t>(RawOf(celsius + 0.05 * noise.Normal(), 0.1, -40, 0, 0xFFE));
}

// What the pack controller believes, 0..1.
double ShownCharge(const Car& car) {
  const SenderDefect& defect = car.scenario().defects.sender;
  if (defect.charge_lost) return 0;
  const double early = car.time_s() < 60 ? defect.charge_rebase : 0;
  return car.cells().MeanCharge() + defect.charge_shift + early;
}

double SentCellVoltage(const Car& car, std::size_t index) {
  const SenderDefect& defect = car.scenario().defects.sender;
  const int cell = static_cast<int>(index);
  if (cell == defect.frozen_cell) return 3.7;
  double volt = car.cells().CellVoltage(index);
  if (defect.sense_lead >= 0 && cell == defect.sense_lead) volt += defect.sense_v;
  if (defect.sense_lead >= 0 && cell == defect.sense_lead + 1) volt -= defect.sense_v;
  return volt;
}

std::uint64_t RefusalCount(const Car& car) {
  return std::min<std::uint64_t>(car.contactors().refusals(), 0xFE);
}

}  // namespace

void FillPackFast(const Car& car, std::uint8_t, Random& noise, Payload& payload) {
  payload.PutUnsigned(0, 2, car.contactors().link_v() + 0.08 * noise.Normal(), 0.1);
  const double sign = car.scenario().defects.sender.current_sign_wrong ? -1 : 1;
  payload.PutSigned(2, 2, sign * (car.discharge_a() + 0.06 * noise.Normal()), 0.1);
  payload.PutBits(4, 0, 3, static_cast<std::uint64_t>(car.contactors().state()));
  payload.PutBits(4, 4, 2, car.interlock_open() ? 1 : 0);
  payload.PutBits(5, 0, 1, car.drive_requested() ? 1 : 0);
}

void FillPackStatus(const Car& car, std::uint8_t, Random& noise, Payload& payload) {
  payload.PutUnsigned(0, 2, car.cells().PackVoltage() + 0.05 * noise.Normal(), 0.1);
  payload.PutUnsigned(2, 2, 100 * ShownCharge(car), 0.1);
  payload.PutUnsigned(4, 2, car.EnergyLeftKwh(), 0.01);
}

void FillPackLimits(const Car& car, std::uint8_t, Random&, Payload& payload) {
  payload.PutUnsigned(0, 2, car.DischargeLimitKw(), 0.1);
  payload.PutUnsigned(2, 2, car.ChargeLimitKw(), 0.1);
  payload.PutBits(4, 0, 4, car.Inhibit());
  payload.PutBits(5, 0, 1, car.range_learned() ? 1 : 0);
}

void FillInsulation(const Car& car, std::uint8_t, Random& noise, Payload& payload) {
  const Insulation& insulation = car.insulation();
  payload.PutBits(6, 0, 2, insulation.monitor_ready() ? 1 : 0);
  if (!insulation.monitor_ready()) {
    for (int first = 0; first < 6; first += 2) payload.PutAbsent(first, 2);
    return;
  }
  const double ohm = insulation.reported_ohm() * (1 + 0.004 * noise.Normal());
  payload.PutUnsigned(0, 2, std::min(ohm, kMonitorCeilingOhm) / 1000, 0.5);
  const double pack_v = car.cells().PackVoltage();
  const double negative_v = pack_v * insulation.NegativeShare();
  payload.PutUnsigned(2, 2, pack_v - negative_v + 0.2 * noise.Normal(), 0.1);
  payload.PutUnsigned(4, 2, negative_v + 0.2 * noise.Normal(), 0.1);
}

void FillCoolantLoop(const Car& car, std::uint8_t, Random& noise, Payload& payload) {
  const CoolantLoop& loop = car.loop();
  payload.PutBits(0, 0, 3, static_cast<std::uint64_t>(loop.pump()));
  payload.PutBits(0, 4, 2, static_cast<std::uint64_t>(loop.level()));
  const bool turning = loop.speed_rpm() > 5;
  payload.PutUnsigned(1, 2, turning ? loop.speed_rpm() + 4 * noise.Normal() : 0, 1);
  payload.PutUnsigned(3, 2, loop.current_a() * (1 + 0.01 * noise.Normal()), 0.01);
}

void FillCoolantTemperatures(const Car& car, std::uint8_t, Random& noise, Payload& payload) {
  const std::uint64_t inlet = Temperature12(car.heat().inlet_c(), noise);
  const std::uint64_t outlet = Temperature12(car.heat().outlet_c(), noise);
  payload.PutInteger(0, 1, inlet >> 4);
  payload.PutBits(1, 4, 4, inlet & 0xF);
  payload.PutBits(1, 0, 4, outlet >> 8);
  payload.PutInteger(2, 1, outlet & 0xFF);
  payload.PutUnsigned(3, 1, car.heat().ambient_c(), 0.5, -40);
}

void FillContactorLog(const Car& car, std::uint8_t, Random&, Payload& payload) {
  const Contactors& contactors = car.contactors();
  payload.PutInteger(0, 2, contactors.closings());
  payload.PutInteger(2, 1, RefusalCount(car));
  payload.PutUnsigned(3, 2, 1000 * contactors.last_precharge_s(), 1);
  payload.PutBits(5, 0, 4, contactors.last_reasons());
}

void FillPackMoisture(const Car& car, std::uint8_t, Random& noise, Payload& payload) {
  payload.PutUnsigned(0, 1, car.insulation().humidity() + 0.3 * noise.Normal(), 0.5);
  payload.PutUnsigned(1, 1, car.heat().cells_c(), 0.5, -40);
}

void FillCellVoltages(const Car& car, std::uint8_t page, Random& noise, Payload& payload) {
  payload.PutInteger(0, 1, page);
  if (page >= kCellCount / kCellsPerPage) {
    payload.PutBits(1, 0, 1, car.cells().balancing() ? 1 : 0);
    return;
  }
  for (std::size_t i = 0; i < kCellsPerPage; ++i) {
    const double volt = SentCellVoltage(car, page * kCellsPerPage + i);
    const bool frozen =
        static_cast<int>(page * kCellsPerPage + i) == car.scenario().defects.sender.frozen_cell;
    const double error = 0.0005 * noise.Normal();
    payload.PutUnsigned(static_cast<int>(2 + 2 * i), 2, frozen ? volt : volt + error, 0.001);
  }
}

void FillCellTemperatures(const Car& car, std::uint8_t page, Random& noise, Payload& payload) {
  payload.PutInteger(0, 1, page);
  for (std::size_t i = 0; i < kSensorsPerPage; ++i) {
    const std::size_t sensor = page * kSensorsPerPage + i;
    const double celsius = car.heat().SensorTemperature(sensor) + 0.1 * noise.Normal();
    const int byte = static_cast<int>(2 + i);
    payload.PutUnsigned(byte, 1, celsius, 0.5, -40);
    if (static_cast<int>(sensor) == car.scenario().broken_sensor) payload.PutAbsent(byte, 1);
  }
}

void FillChargePort(const Car& car, std::uint8_t, Random&, Payload& payload) {
  const bool charging = car.charge_state() == ChargeState::kCharging;
  payload.PutBits(0, 0, 3, static_cast<std::uint64_t>(car.charge_state()));
  payload.PutUnsigned(1, 2, charging ? std::max(0.0, -car.discharge_a()) : 0, 0.1);
  payload.PutUnsigned(3, 1, car.heat().ambient_c(), 0.5, -40);
}

}  // namespace proofdrive::bench
