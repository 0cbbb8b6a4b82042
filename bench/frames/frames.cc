#include "bench/frames/frames.h"

#include "bench/frames/fill_drive.h"
#include "bench/frames/fill_pack.h"

namespace proofdrive::bench {
namespace {

constexpr auto kCrc8 = ChecksumKind::kCrc8J1850;
constexpr auto kXor = ChecksumKind::kXor;
constexpr auto kSum = ChecksumKind::kSum;

constexpr FrameRow Row(std::string_view name, std::string_view unit, std::uint8_t bus,
                       std::uint32_t id, std::uint32_t period_ms, std::uint8_t length,
                       decltype(FrameRow::fill) fill, CounterPlace counter = {},
                       ChecksumPlace checksum = {}) {
  FrameRow row;
  row.name = name;
  row.unit = unit;
  row.bus = bus;
  row.id = id;
  row.period_ms = period_ms;
  row.length = length;
  row.fill = fill;
  row.counter = counter;
  row.checksum = checksum;
  return row;
}

constexpr FrameRow Paged(FrameRow row, std::uint8_t pages, std::uint8_t extra_page) {
  row.pages = pages;
  row.extra_page = extra_page;
  return row;
}

constexpr FrameRow Extended(FrameRow row) {
  row.extended = true;
  return row;
}

constexpr FrameRow kRows[] = {
    Row("pack_fast", "pack_controller", kPackBus, 0x0C7, 10, 8, FillPackFast, {6, 0, 14},
        {kCrc8, 7}),
    Row("pack_status", "pack_controller", kPackBus, 0x2A1, 100, 8, FillPackStatus, {6, 0, 14},
        {kCrc8, 7}),
    Row("pack_limits", "pack_controller", kPackBus, 0x2B6, 100, 8, FillPackLimits, {6, 4, 15},
        {kXor, 7}),
    Row("insulation", "insulation_monitor", kPackBus, 0x2C8, 1000, 8, FillInsulation, {},
        {kSum, 7}),
    Row("coolant_loop", "coolant_controller", kPackBus, 0x2D3, 100, 8, FillCoolantLoop, {6, 0, 15},
        {kCrc8, 7}),
    Row("coolant_temperatures", "coolant_controller", kPackBus, 0x2D8, 200, 8,
        FillCoolantTemperatures, {6, 0, 15}, {kXor, 7}),
    Row("contactor_log", "pack_controller", kPackBus, 0x2E4, 1000, 8, FillContactorLog, {6, 0, 15},
        {kSum, 7}),
    Row("pack_moisture", "moisture_sensor", kPackBus, 0x35E, 500, 4, FillPackMoisture, {2, 0, 15},
        {kSum, 3}),
    Paged(Row("cell_voltages", "pack_controller", kPackBus, 0x3B4, 20, 8, FillCellVoltages), 32,
          200),
    Paged(Row("cell_temperatures", "pack_controller", kPackBus, 0x3BA, 100, 8, FillCellTemperatures,
              {}, {kXor, 1}),
          4, 0),
    Extended(Row("charge_port", "charge_controller", kPackBus, 0x14D2B0A1, 500, 6, FillChargePort,
                 {4, 0, 14}, {kCrc8, 5})),
    Row("motion", "chassis_controller", kDriveBus, 0x0B9, 10, 8, FillMotion, {6, 0, 15},
        {kCrc8, 7}),
    Row("motor", "inverter", kDriveBus, 0x0D6, 10, 8, FillMotor, {6, 0, 14}, {kXor, 7}),
    Row("pedals", "chassis_controller", kDriveBus, 0x0E3, 10, 4, FillPedals, {2, 0, 15}, {kSum, 3}),
    Row("wheels", "chassis_controller", kDriveBus, 0x1A7, 10, 8, FillWheels),
    Row("supply", "converter", kDriveBus, 0x245, 100, 8, FillSupply, {6, 0, 14}, {kSum, 7}),
    Row("body", "body_controller", kDriveBus, 0x29B, 50, 3, FillBody, {2, 0, 15}),
    Row("restraint", "restraint_unit", kDriveBus, 0x31C, 500, 4, FillRestraint, {2, 0, 15},
        {kXor, 3}),
    Row("cluster", "cluster", kDriveBus, 0x3F2, 200, 8, FillCluster, {6, 0, 15}, {kCrc8, 7}),
    Row("versions", "cluster", kDriveBus, 0x6A5, 1000, 8, FillVersions, {6, 0, 14}, {kSum, 7}),
};

}  // namespace

std::span<const FrameRow> FrameTable() { return kRows; }

}  // namespace proofdrive::bench
