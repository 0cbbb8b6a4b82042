// Locations as the author writes them: "bytes 2-3", "byte 4 bits 0-2", "byte 5 bits 4-7, byte 6".
// Bit 0 is the least significant bit of its byte; there is no other bit numbering.
#pragma once

#include <optional>
#include <string_view>
#include <vector>

#include "core/base/bytes.h"
#include "decoders/authoring/reporter.h"
#include "decoders/model/definitions.h"

namespace proofdrive::decoders {

inline constexpr std::uint64_t kLastByte = 63;  // of a CAN FD frame

// A whole location of 1..64 bits. `order` is that of the file; "big" or "little" after "bytes A-B"
// overrides it. nullopt: `problem` says what is wrong.
std::optional<Location> ParseWhere(std::string_view text, std::optional<ByteOrder> order,
                                   TextProblem& problem);

// "bytes 0-6" or "byte 3": the first and the last byte.
struct ByteRange {
  std::uint8_t first = 0;
  std::uint8_t last = 0;
};
std::optional<ByteRange> ParseBytes(std::string_view text, TextProblem& problem);

// "byte 2" or "byte 2 bit 4": where the first element of a series starts.
struct ElementStart {
  std::uint8_t byte = 0;
  std::optional<std::uint8_t> bit;
};
std::optional<ElementStart> ParseElementStart(std::string_view text, TextProblem& problem);

// "2 bytes", "2 bytes little" or "12 bits": the size of an element of a series.
struct ElementSize {
  unsigned bits = 0;  // 1..most_bits
  std::optional<ByteOrder> order;
};
std::optional<ElementSize> ParseElementSize(std::string_view text, TextProblem& problem,
                                            unsigned most_bits = 64);

// Locations of `count` elements that follow each other from `start`. Big: from the most significant
// bit down, as one reads; little: from the least significant bit up. Empty when they do not end
// within byte 63.
std::vector<Location> ElementLocations(const ElementStart& start, unsigned bits, ByteOrder order,
                                       std::uint32_t count);

// "byte 4 bits 0-2, byte 5", as ParseWhere reads it.
std::string FormatLocation(const Location& location);

}  // namespace proofdrive::decoders
