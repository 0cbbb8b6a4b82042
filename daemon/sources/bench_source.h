// bench:SCENARIO[@SPEED]: the invented bench vehicle as a source.
#pragma once

#include <memory>
#include <string>

#include "bench/vehicle.h"
#include "daemon/sources/source_kind.h"

namespace proofdrive::daemon {

// Source-table functions. kNotFound names the possible scenarios.
Result<std::string> CheckBenchArgument(const std::string& argument);
Result<std::unique_ptr<FrameSource>> MakeBenchSource(const std::string& argument,
                                                     const SourceContext& context);

// The same for a vehicle made elsewhere. `speed` as in PacedArgument.
std::unique_ptr<FrameSource> MakeVehicleSource(std::unique_ptr<bench::Vehicle> vehicle,
                                               double speed, std::uint8_t first_channel);

}  // namespace proofdrive::daemon
