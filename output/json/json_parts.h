// Pieces of JSON that several documents have in common. For the .cc files of this layer only.
#pragma once

#include <cstdint>
#include <map>
#include <nlohmann/json_fwd.hpp>
#include <optional>
#include <string>
#include <vector>

#include "analysis/findings/coverage.h"
#include "analysis/standing/footing.h"
#include "core/base/time.h"
#include "decoders/model/definitions.h"
#include "decoders/signals/decoder.h"

namespace proofdrive::output {

// Keys stay in the order they were written.
using Json = nlohmann::ordered_json;

// Rounded to microseconds: what the recordings resolve.
double Seconds(Duration duration);
double Milliseconds(Duration duration);
// Null: it never happened, or is not known.
Json OptionalSeconds(const std::optional<Duration>& duration);

// JSON has no infinity: null.
Json Number(double value);

// A decoded value without the noise of binary arithmetic (12.6, not 12.600000000000001): twelve
// significant digits, and every digit from 1e11 up.
Json Decoded(double value);

// With six significant digits, for what was estimated: the rest is noise.
Json Figures(double value);

// {"8": 1200}: data length -> frames.
Json LengthsJson(const std::map<std::uint8_t, std::uint64_t>& lengths);

// What an answer stands on, and how each is known.
Json FootingJson(const std::vector<analysis::Footing>& stands_on);
// {"identifiers": 153, "described": 0}: recorded, and of them described by the definitions.
Json CoverageJson(const analysis::Coverage& coverage);

// Frames with a counter, checksum or length fault.
Json FaultsJson(const decoders::Definitions& definitions,
                const std::vector<decoders::FrameFaults>& faults);

}  // namespace proofdrive::output
