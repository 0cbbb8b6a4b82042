// Contents of the frames of bus "drive"; layouts as in decoders/library/bramble-seven.yaml.
#pragma once

#include "bench/car/car.h"
#include "bench/frames/frame_writer.h"

namespace proofdrive::bench {

// See FrameRow::fill.
void FillMotion(const Car& car, std::uint8_t page, Random& noise, Payload& payload);
void FillMotor(const Car& car, std::uint8_t page, Random& noise, Payload& payload);
void FillPedals(const Car& car, std::uint8_t page, Random& noise, Payload& payload);
void FillWheels(const Car& car, std::uint8_t page, Random& noise, Payload& payload);
void FillSupply(const Car& car, std::uint8_t page, Random& noise, Payload& payload);
void FillBody(const Car& car, std::uint8_t page, Random& noise, Payload& payload);
void FillRestraint(const Car& car, std::uint8_t page, Random& noise, Payload& payload);
void FillCluster(const Car& car, std::uint8_t page, Random& noise, Payload& payload);
void FillVersions(const Car& car, std::uint8_t page, Random& noise, Payload& payload);

}  // namespace proofdrive::bench
