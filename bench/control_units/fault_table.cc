#include "bench/control_units/fault_table.h"

namespace proofdrive::bench {
namespace {

using decoders::TroubleCode;

std::optional<bool> IsolationLow(const Car& car) {
  if (!car.insulation().monitor_ready()) return std::nullopt;
  return car.insulation().reported_ohm() < 500 * kWorkingVoltage;  // UN R100: 500 ohm per volt
}
std::optional<bool> InterlockOpen(const Car& car) { return car.interlock_open(); }
std::optional<bool> SensorBroken(const Car& car) { return car.scenario().broken_sensor >= 0; }
std::optional<bool> MoistureSensorSilent(const Car& car) {
  return !car.scenario().silent_units.empty();
}
// Only a driving car shows whether the inverter is cooled.
std::optional<bool> InverterCooling(const Car& car) {
  if (car.loop().pump() == PumpState::kOff) return std::nullopt;
  return car.loop().level() != CoolantLevel::kFull || car.loop().pump() == PumpState::kFault;
}
std::optional<bool> ContactorStuck(const Car& car) {
  if (!car.drive_requested()) return std::nullopt;
  return false;  // the bench vehicle's contactors never weld
}
std::optional<bool> SupplyLow(const Car& car) { return car.supply().voltage() < 11.8; }
std::optional<bool> Crash(const Car& car) {
  if (!car.restraint_ready()) return std::nullopt;
  return car.crash_latched();
}

// The repair is what came between the earlier cycles and the ones of these scenarios.
bool WasLeaking(const Scenario& s) { return s.name != "updated"; }
bool Never(const Scenario&) { return false; }

constexpr TroubleCode Code(std::uint16_t code, std::uint8_t failure_type) {
  return {code, failure_type};
}

constexpr FaultRow kRows[] = {
    {"pack_controller", Code(0x0AA6, 0x1A), {1, 40, true}, IsolationLow, 5, WasLeaking},
    {"pack_controller", Code(0x0A0A, 0x13), {2, 40, true}, InterlockOpen, 1, WasLeaking},
    {"pack_controller", Code(0x0A9B, 0x13), {2, 40, false}, SensorBroken, 10, WasLeaking},
    {"pack_controller", Code(0x0AA1, 0x73), {1, 40, true}, ContactorStuck, 2, Never},
    // U1 is the maker's own.
    {"pack_controller", Code(0xD135, 0x87), {1, 40, false}, MoistureSensorSilent, 5, Never},
    {"inverter", Code(0x0A93, 0x7B), {1, 40, true}, InverterCooling, 20, WasLeaking},
    {"inverter", Code(0x0A78, 0x00), {2, 40, true}, ContactorStuck, 5, Never},
    {"cluster", Code(0x0562, 0x16), {2, 40, false}, SupplyLow, 10, WasLeaking},
    // B1 is the maker's own.
    {"cluster", Code(0x9120, 0x00), {1, 40, true}, Crash, 2, WasLeaking},
};

}  // namespace

std::span<const FaultRow> FaultTable() { return kRows; }

}  // namespace proofdrive::bench
