// Every checksum the definition language knows. A new one is a function and a row of the table.
#pragma once

#include <array>
#include <cstdint>
#include <span>
#include <string_view>

#include "core/base/bytes.h"
#include "decoders/model/definitions.h"

namespace proofdrive::decoders {

using Crc8Table = std::array<std::uint8_t, 256>;

// One step per byte, most significant bit first. `polynomial` without its highest bit.
constexpr Crc8Table MakeCrc8Table(std::uint8_t polynomial) {
  Crc8Table table{};
  for (unsigned i = 0; i < table.size(); ++i) {
    unsigned value = i;
    for (int bit = 0; bit < 8; ++bit) value = (value << 1) ^ ((value & 0x80) != 0 ? polynomial : 0);
    table[i] = static_cast<std::uint8_t>(value);
  }
  return table;
}

// What a checksum is calculated over. `settings` holds what the kind uses; so does `table`, which
// belongs to settings.polynomial.
struct ChecksumInput {
  ByteSpan bytes;  // up to a whole frame, without those of the checksum itself
  std::uint8_t counter = 0;
  const ChecksumSettings* settings = nullptr;
  const Crc8Table* table = nullptr;
};

using ChecksumFunction = std::uint64_t (*)(const ChecksumInput& input);

// What a definition must or may give for a kind.
enum class ChecksumNeeds : std::uint8_t {
  kNothing,
  kPolynomial,      // `polynomial`, `start`, `final xor`
  kDataId,          // `data id`
  kDataIdWithMode,  // `data id`, `data id mode`, `data id nibble`
  kDataIdList,      // `data ids`, and the counter of the frame
};

struct Checksum {
  std::string_view name;  // as definition files write it
  unsigned bits;
  ChecksumFunction function;
  std::string_view standard;  // where it is defined
  ChecksumNeeds needs = ChecksumNeeds::kNothing;
  // The counter of a frame that has one: its bits and its last value; 0: any.
  unsigned counter_bits = 0;
  std::uint64_t counts_to = 0;
};

std::span<const Checksum> AllChecksums();
// Null when there is none with this name.
const Checksum* FindChecksum(std::string_view name);

}  // namespace proofdrive::decoders
