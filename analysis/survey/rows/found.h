// What a survey proposes for an identifier nobody has described. Plain values.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "core/base/bytes.h"
#include "decoders/model/definitions.h"

namespace proofdrive::analysis::survey {

enum class FieldKind : std::uint8_t { kNumber, kState, kFlag, kClock, kText, kFloat };
std::string_view FieldKindName(FieldKind kind);  // "number", "state", ...

// What the bits of a place say, its first piece on top, without sign. REQUIRES: it lies within the
// payload and has at most 64 bits.
std::uint64_t ValueIn(const decoders::Location& location, ByteSpan payload);

// Bits that belong together.
struct Field {
  decoders::Location location;     // with the constant bits above it up to the border of a byte
  std::optional<ByteOrder> order;  // none: within one byte
  std::optional<bool> is_signed;   // none: the recording cannot tell
  FieldKind kind = FieldKind::kNumber;
  unsigned certain_bits = 0;  // from the highest bit that ever changed down
  std::uint64_t changes = 0;  // frames in which it differs from the one before
  double cost_ahead = 0;      // bits that the runner-up takes more; 0: there is none
  std::string why;            // the evidence, in words
  std::string runner_up;      // the next best reading; empty: none
  std::string settle;         // what would tell; empty: nothing is open
};

struct FoundCounter {
  decoders::Location location;
  std::uint64_t counts_to = 0;
  double share = 0;  // of pairs that count
};

// One way to calculate a check that fits.
struct ChecksumModel {
  std::string kind;  // "xor", "sum-8", "negative sum-8", "crc-8", "crc-8 reflected", ...
  std::uint32_t polynomial = 0;  // of CRCs, without its highest bit
  std::uint32_t constant = 0;    // what is added to, or combined with, a start of 0
  bool little = false;           // of two bytes: the low one comes first
  bool id_and_length = false;    // the constant is that: bytes of the identifier plus length
  std::vector<std::uint32_t> by_counter;  // a constant for each value of the counter instead
  friend bool operator==(const ChecksumModel&, const ChecksumModel&) = default;
};

struct FoundChecksum {
  decoders::Location location;
  unsigned first_byte = 0;  // of the bytes it covers, itself left out
  unsigned last_byte = 0;
  std::vector<ChecksumModel> models;  // all that fit, the likeliest first
  double share = 0;                   // of frames in which the first one holds
  std::size_t payloads = 0;           // different ones it was tried on
  bool proved = false;                // on frames it was not found in
};

struct ConstantBits {
  decoders::Location location;
  std::uint64_t value = 0;
};

// One identifier, or one page of it.
struct FoundFrame {
  std::string bus;
  std::uint32_t id = 0;
  bool extended = false;
  std::optional<std::uint64_t> page;  // none: all frames of the identifier
  std::uint64_t frames = 0;
  std::size_t length = 0;
  double period_s = 0;  // median; 0: unknown
  std::vector<Field> fields;
  std::optional<FoundCounter> counter;
  std::optional<FoundChecksum> checksum;
  std::optional<decoders::Location> selector;
  std::vector<ConstantBits> constant;
  std::string notice;  // why nothing is proposed, or what was left out; empty: nothing to say
};

}  // namespace proofdrive::analysis::survey
