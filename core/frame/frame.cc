#include "core/frame/frame.h"

#include <cstdio>

namespace proofdrive {
namespace {

constexpr std::array<std::uint8_t, 16> kFdLengths = {0, 1,  2,  3,  4,  5,  6,  7,
                                                     8, 12, 16, 20, 24, 32, 48, 64};

bool IsFdLength(std::uint8_t length) { return FdLengthOfDlc(FdDlcOfLength(length)) == length; }

Status Invalid(const Frame& frame, const std::string& why) {
  return Status(ErrorKind::kCorrupt, "frame " + FormatId(frame.id, frame.flags) + ": " + why);
}

BitCount ClassicBits(bool extended, std::uint32_t bytes) {
  const std::uint32_t least = (extended ? 67 : 47) + 8 * bytes;
  const std::uint32_t exposed = (extended ? 54 : 34) + 8 * bytes;
  return {least, least + (exposed - 1) / 4};
}

BitCount FdBits(bool extended, std::uint32_t bytes) {
  const std::uint32_t header = extended ? 41 : 22;
  const std::uint32_t crc_field = bytes <= 16 ? 28 : 33;
  const std::uint32_t footer_and_gap = 9 + 3;
  const std::uint32_t least = header + 8 * bytes + crc_field + footer_and_gap;
  return {least, least + (header + 8 * bytes - 1) / 4};
}

}  // namespace

Status Validate(const Frame& frame) {
  if (frame.id > (frame.Is(kExtendedId) || frame.Is(kErrorMessage) ? kMaxExtendedId : kMaxBaseId)) {
    return Invalid(frame, "the identifier is too large for its format");
  }
  const bool fd = frame.Is(kFlexibleData);
  if (fd && frame.Is(kRemote)) return Invalid(frame, "CAN FD has no remote frames");
  if (!fd && (frame.Is(kBitRateSwitch) || frame.Is(kErrorState))) {
    return Invalid(frame, "bit rate switch and error state exist only in CAN FD");
  }
  if (fd ? !IsFdLength(frame.length) : frame.length > kMaxClassicLength) {
    return Invalid(frame, "a length of " + std::to_string(frame.length) + " bytes cannot occur");
  }
  if (frame.raw_dlc != 0 && (fd || frame.length != 8 || frame.raw_dlc < 9 || frame.raw_dlc > 15)) {
    return Invalid(frame, "a raw DLC goes only with 8 data bytes and is 9..15");
  }
  return Status::Ok();
}

std::string FormatId(std::uint32_t id, std::uint8_t flags) {
  char text[32];
  if (flags & kErrorMessage) {
    std::snprintf(text, sizeof(text), "error %04X", id);
  } else {
    std::snprintf(text, sizeof(text), (flags & kExtendedId) ? "%08X" : "%03X", id);
  }
  return text;
}

std::uint8_t FdLengthOfDlc(std::uint8_t dlc) { return kFdLengths[dlc & 0xF]; }

std::uint8_t FdDlcOfLength(std::uint8_t length) {
  std::uint8_t dlc = 0;
  while (dlc < 15 && kFdLengths[dlc] < length) ++dlc;
  return dlc;
}

BitCount WireBits(const Frame& frame) {
  if (frame.Is(kErrorMessage)) return {};
  const std::uint32_t bytes = frame.Is(kRemote) ? 0 : frame.length;
  return frame.Is(kFlexibleData) ? FdBits(frame.Is(kExtendedId), bytes)
                                 : ClassicBits(frame.Is(kExtendedId), bytes);
}

}  // namespace proofdrive
