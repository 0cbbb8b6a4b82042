// Signals of `type: text`: names, numbers and versions that are sent as characters.
#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "core/base/bytes.h"
#include "decoders/model/definitions.h"

namespace proofdrive::decoders {

// The characters of a text signal, or of one element (counted from 0) of a series of texts, in the
// payload of its frame, or of a reading in the data of its answer: up to the first byte of 0,
// without blanks and 0xFF at the end. nullopt, which Value shows as absent, when nothing is left,
// when they are not printable UTF-8, or when the payload is too short. REQUIRES: signal.encoding ==
// Encoding::kText, and the frame is the one that gave the value.
std::optional<std::string> TextOf(const Signal& signal, std::uint32_t element, ByteSpan payload);

}  // namespace proofdrive::decoders
