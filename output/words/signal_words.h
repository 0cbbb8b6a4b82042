// Words for decoded values: which element, which state.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "decoders/model/definitions.h"
#include "decoders/signals/value.h"

namespace proofdrive::output {

inline constexpr std::string_view kAbsentWord = "absent";
inline constexpr std::string_view kOutOfRangeWord = "out of range";

// "cell_voltage[7]" for element 6 of a series, "pack_voltage" for a scalar.
std::string ElementName(const decoders::Signal& signal, std::uint32_t element);

// Index into Signal::states of the state of a raw value, -1 when it has none.
int StateIndex(const decoders::Signal& signal, std::int64_t raw);

// What the column `state` says: the name of the state when the author gave the raw value one, else
// "absent" or "out of range", else nothing.
std::string StateText(const decoders::Signal& signal, const decoders::Value& value);

}  // namespace proofdrive::output
