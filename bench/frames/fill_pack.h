// Contents of the frames of bus "pack"; layouts as in decoders/library/bramble-seven.yaml.
#pragma once

#include "bench/car/car.h"
#include "bench/frames/frame_writer.h"

namespace proofdrive::bench {

// See FrameRow::fill.
void FillPackFast(const Car& car, std::uint8_t page, Random& noise, Payload& payload);
void FillPackStatus(const Car& car, std::uint8_t page, Random& noise, Payload& payload);
void FillPackLimits(const Car& car, std::uint8_t page, Random& noise, Payload& payload);
void FillInsulation(const Car& car, std::uint8_t page, Random& noise, Payload& payload);
void FillCoolantLoop(const Car& car, std::uint8_t page, Random& noise, Payload& payload);
void FillCoolantTemperatures(const Car& car, std::uint8_t page, Random& noise, Payload& payload);
void FillContactorLog(const Car& car, std::uint8_t page, Random& noise, Payload& payload);
void FillPackMoisture(const Car& car, std::uint8_t page, Random& noise, Payload& payload);
void FillCellVoltages(const Car& car, std::uint8_t page, Random& noise, Payload& payload);
void FillCellTemperatures(const Car& car, std::uint8_t page, Random& noise, Payload& payload);
void FillChargePort(const Car& car, std::uint8_t page, Random& noise, Payload& payload);

}  // namespace proofdrive::bench
