// Which trouble codes the bench vehicle's control units can set, and what in the car makes their
// tests fail. Invented, like the car; the codes' titles are the standard's.
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string_view>

#include "bench/car/car.h"
#include "bench/control_units/fault_memory.h"
#include "decoders/services/trouble_code.h"

namespace proofdrive::bench {

struct FaultRow {
  std::string_view unit;
  decoders::TroubleCode code;
  FaultRule rule;
  // What the test says of the car now; nullopt: it cannot run now.
  std::optional<bool> (*failed)(const Car& car) = nullptr;
  // It must say the same for this long before that counts as a result.
  double settle_s = 1;
  // Whether it failed in the cycles before the scenario begins.
  bool (*failed_before)(const Scenario& scenario) = nullptr;
};

std::span<const FaultRow> FaultTable();

}  // namespace proofdrive::bench
