// A car the whole way: a session with frames and the definition file that reads them.
#pragma once

#include <string>

#include "core/base/files.h"
#include "core/base/result.h"
#include "tests/fleet/car/car.h"
#include "tests/fleet/sensors/sent.h"

namespace proofdrive::fleet {

// Writes FOLDER/car-SEED.session and FOLDER/car-SEED.yaml. The file is not stored in the session.
Status WriteCar(Files& files, const std::string& folder, const Car& car);

// Only the text.
std::string DefinitionText(const Car& car, const Sent& sent);

}  // namespace proofdrive::fleet
