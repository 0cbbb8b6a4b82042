#include "core/frame/wire_bits.h"

namespace proofdrive {
namespace {

void PutBits(std::vector<std::uint8_t>& bits, std::uint32_t value, unsigned count) {
  while (count-- > 0) bits.push_back(static_cast<std::uint8_t>((value >> count) & 1));
}

std::uint32_t StuffBits(const std::vector<std::uint8_t>& bits) {
  std::uint32_t stuffed = 0;
  unsigned run = 0;
  int last = -1;
  for (const std::uint8_t bit : bits) {
    run = bit == last ? run + 1 : 1;
    last = bit;
    if (run == 5) {  // the stuff bit has the opposite value and starts the next run
      ++stuffed;
      last = 1 - bit;
      run = 1;
    }
  }
  return stuffed;
}

}  // namespace

std::vector<std::uint8_t> UnstuffedHeadAndData(const Frame& frame) {
  std::vector<std::uint8_t> bits;
  const std::uint32_t remote = frame.Is(kRemote) ? 1 : 0;
  PutBits(bits, 0, 1);  // SOF
  if (frame.Is(kExtendedId)) {
    PutBits(bits, frame.id >> 18, 11);
    PutBits(bits, 0b11, 2);  // SRR, IDE
    PutBits(bits, frame.id & 0x3FFFF, 18);
    PutBits(bits, remote, 1);
    PutBits(bits, 0, 2);  // FDF, r0
  } else {
    PutBits(bits, frame.id, 11);
    PutBits(bits, remote, 1);
    PutBits(bits, 0, 2);  // IDE, FDF
  }
  PutBits(bits, frame.raw_dlc != 0 ? frame.raw_dlc : frame.length, 4);
  for (const std::uint8_t byte : frame.payload()) PutBits(bits, byte, 8);
  return bits;
}

std::uint16_t Crc15(const std::vector<std::uint8_t>& bits) {
  std::uint32_t crc = 0;
  for (const std::uint8_t bit : bits) {
    const std::uint32_t next = bit ^ ((crc >> 14) & 1);
    crc = (crc << 1) & 0x7FFF;
    if (next != 0) crc ^= 0x4599;
  }
  return static_cast<std::uint16_t>(crc);
}

std::optional<std::uint32_t> ExactWireBits(const Frame& frame) {
  if (frame.Is(kErrorMessage) || frame.Is(kFlexibleData)) return std::nullopt;
  std::vector<std::uint8_t> bits = UnstuffedHeadAndData(frame);
  PutBits(bits, Crc15(bits), 15);
  // CRC delimiter, acknowledge slot and delimiter, end of frame, intermission: never stuffed.
  constexpr std::uint32_t kTail = 1 + 2 + 7 + 3;
  return static_cast<std::uint32_t>(bits.size()) + StuffBits(bits) + kTail;
}

}  // namespace proofdrive
