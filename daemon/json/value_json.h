// Live values and numbers as JSON: the same in the status, on the page and over MQTT.
#pragma once

#include <nlohmann/json_fwd.hpp>

#include "daemon/live/live_decoder.h"

namespace proofdrive::daemon {

// A number without the tail of its binary fraction: nine digits, seven of a float; null when it is
// not finite.
nlohmann::json ShortNumber(double number);
nlohmann::json ShortNumber(float number);

// A number, the characters of a text, or null when there is no value.
nlohmann::json ValueOrNull(const LatestValue& latest);

// Name of the state it is in; empty when there is none, or no value.
std::string StateName(const decoders::Signal& signal, const LatestValue& latest);

}  // namespace proofdrive::daemon
