#include "decoders/model/checksums.h"

#include <array>

#include "core/digests/crc32c.h"

namespace proofdrive::decoders {
namespace {

std::uint64_t Xor(const ChecksumInput& input) {
  std::uint8_t value = 0;
  for (const std::uint8_t byte : input.bytes) value = static_cast<std::uint8_t>(value ^ byte);
  return value;
}

std::uint64_t Sum8(const ChecksumInput& input) {
  unsigned sum = 0;
  for (const std::uint8_t byte : input.bytes) sum += byte;
  return sum & 0xFF;
}

std::uint8_t Continue8(const Crc8Table& table, std::uint8_t value, ByteSpan bytes) {
  for (const std::uint8_t byte : bytes) value = table[value ^ byte];
  return value;
}

constexpr Crc8Table kTable1d = MakeCrc8Table(0x1D);
constexpr Crc8Table kTable2f = MakeCrc8Table(0x2F);

std::uint64_t Crc8SaeJ1850(const ChecksumInput& input) {
  return Continue8(kTable1d, 0xFF, input.bytes) ^ 0xFFU;
}

std::uint64_t Crc8H2f(const ChecksumInput& input) {
  return Continue8(kTable2f, 0xFF, input.bytes) ^ 0xFFU;
}

std::uint64_t Crc8(const ChecksumInput& input) {
  const ChecksumSettings& settings = *input.settings;
  return Continue8(*input.table, settings.start, input.bytes) ^ unsigned { settings.final_xor };
}

unsigned Continue16(unsigned value, ByteSpan bytes) {
  for (const std::uint8_t byte : bytes) {
    value ^= static_cast<unsigned>(byte) << 8;
    for (int bit = 0; bit < 8; ++bit)
      value = (value << 1) ^ ((value & 0x8000) != 0 ? 0x11021U : 0U);
  }
  return value;
}

std::uint64_t Crc16CcittFalse(const ChecksumInput& input) {
  return Continue16(0xFFFF, input.bytes);
}

std::uint64_t Castagnoli(const ChecksumInput& input) { return Crc32c(input.bytes); }

std::uint8_t Low(std::uint16_t id) { return static_cast<std::uint8_t>(id & 0xFF); }
std::uint8_t High(std::uint16_t id) { return static_cast<std::uint8_t>(id >> 8); }

// The data id comes before the data, and start and final values of the CRC are 0.
std::uint64_t Profile1(const ChecksumInput& input) {
  const std::uint16_t id = input.settings->data_ids[0];
  const std::uint8_t low = Low(id);
  std::uint8_t value = kTable1d[low];
  switch (input.settings->mode) {
    case DataIdMode::kBoth:
      value = kTable1d[value ^ High(id)];
      break;
    case DataIdMode::kAlternating:
      value = kTable1d[input.counter % 2 == 0 ? low : High(id)];
      break;
    case DataIdMode::kLow:
      break;
    case DataIdMode::kNibble:
      value = kTable1d[value];
      break;
  }
  return Continue8(kTable1d, value, input.bytes);
}

// The data id comes after the data and changes with the counter.
std::uint64_t Profile2(const ChecksumInput& input) {
  const auto& ids = input.settings->data_ids;
  const std::uint8_t value = Continue8(kTable2f, 0xFF, input.bytes);
  return kTable2f[value ^ Low(ids[input.counter % ids.size()])] ^ 0xFFU;
}

// The data id comes after the data, low byte first.
std::uint64_t Profile5(const ChecksumInput& input) {
  const std::uint16_t id = input.settings->data_ids[0];
  const std::array<std::uint8_t, 2> bytes = {Low(id), High(id)};
  return Continue16(Continue16(0xFFFF, input.bytes), bytes);
}

constexpr Checksum kChecksums[] = {
    {"xor", 8, Xor, "exclusive or of all bytes"},
    {"sum-8", 8, Sum8, "sum of all bytes, modulo 256"},
    {"crc-8", 8, Crc8, "`polynomial`, `start` and `final xor`, most significant bit first",
     ChecksumNeeds::kPolynomial},
    {"crc-8-sae-j1850", 8, Crc8SaeJ1850, "SAE J1850; AUTOSAR Specification of CRC Routines"},
    {"crc-8-h2f", 8, Crc8H2f, "AUTOSAR Specification of CRC Routines, CRC-8H2F"},
    {"crc-16-ccitt-false", 16, Crc16CcittFalse, "AUTOSAR Specification of CRC Routines, CRC16"},
    {"crc-32c", 32, Castagnoli, "RFC 3720 appendix B.4"},
    {"e2e-profile-1", 8, Profile1, "AUTOSAR E2E protocol, profile 1",
     ChecksumNeeds::kDataIdWithMode, 4, 14},
    {"e2e-profile-2", 8, Profile2, "AUTOSAR E2E protocol, profile 2", ChecksumNeeds::kDataIdList, 4,
     15},
    {"e2e-profile-5", 16, Profile5, "AUTOSAR E2E protocol, profile 5", ChecksumNeeds::kDataId, 8,
     255},
};

}  // namespace

std::span<const Checksum> AllChecksums() { return kChecksums; }

const Checksum* FindChecksum(std::string_view name) {
  for (const Checksum& checksum : kChecksums) {
    if (checksum.name == name) return &checksum;
  }
  return nullptr;
}

}  // namespace proofdrive::decoders
