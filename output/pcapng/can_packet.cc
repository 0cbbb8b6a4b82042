#include "output/pcapng/can_packet.h"

#include <algorithm>
#include <string>

namespace proofdrive::output {
namespace {

constexpr std::size_t kHeaderLength = 8;
constexpr std::uint32_t kFdPacketLength = kHeaderLength + kMaxFdLength;

// Flags of the identifier word (linux/can.h).
constexpr std::uint32_t kIdExtended = 0x80000000;
constexpr std::uint32_t kIdRemote = 0x40000000;
constexpr std::uint32_t kIdError = 0x20000000;
// In the length octet.
constexpr std::uint8_t kExtraLongMark = 0x80;
// In the octet of FD flags (linux/can.h).
constexpr std::uint8_t kFdBitRateSwitch = 0x01;
constexpr std::uint8_t kFdErrorState = 0x02;
constexpr std::uint8_t kFdFormat = 0x04;

std::uint8_t FlagsOf(std::uint32_t id_word, bool fd, std::uint8_t fd_octet) {
  unsigned flags = 0;
  if (id_word & kIdError) {
    flags = kErrorMessage;
  } else {
    if (id_word & kIdExtended) flags |= kExtendedId;
    if (id_word & kIdRemote) flags |= kRemote;
  }
  if (fd) {
    flags |= kFlexibleData;
    if (fd_octet & kFdBitRateSwitch) flags |= kBitRateSwitch;
    if (fd_octet & kFdErrorState) flags |= kErrorState;
  }
  return static_cast<std::uint8_t>(flags);
}

PacketKind CopyPayload(ByteSpan payload, Frame& frame, std::string& why) {
  const std::size_t wanted = frame.Is(kRemote) ? 0 : frame.length;
  if (payload.size() < wanted) {
    why = "only " + std::to_string(payload.size()) + " of " + std::to_string(wanted) +
          " data bytes were captured";
    return PacketKind::kMalformed;
  }
  std::copy_n(payload.begin(), wanted, frame.data.begin());
  return PacketKind::kFrame;
}

}  // namespace

PacketKind DecodeCanPacket(ByteSpan packet, std::uint32_t original_length, Frame& frame,
                           std::string& why) {
  if (packet.size() < kHeaderLength || original_length < kHeaderLength) {
    why = "a packet of " + std::to_string(std::min<std::size_t>(packet.size(), original_length)) +
          " bytes is too short for a CAN frame";
    return PacketKind::kMalformed;
  }
  ByteReader reader(packet, ByteOrder::kBig);
  const auto id_word = reader.Get<std::uint32_t>();
  const auto length = reader.Get<std::uint8_t>();
  const auto fd_octet = reader.Get<std::uint8_t>();
  reader.Skip(1);
  const auto raw_dlc = reader.Get<std::uint8_t>();
  if (length & kExtraLongMark) return PacketKind::kExtraLong;
  const bool fd = original_length == kFdPacketLength || (fd_octet & kFdFormat) != 0;
  frame = Frame{};
  frame.flags = FlagsOf(id_word, fd, fd_octet);
  frame.id = id_word & kMaxExtendedId;
  frame.length = length;
  if (!fd && length == kMaxClassicLength && raw_dlc > 8 && raw_dlc < 16) frame.raw_dlc = raw_dlc;
  if (const Status valid = Validate(frame); !valid.ok()) {
    why = valid.message();
    return PacketKind::kMalformed;
  }
  return CopyPayload(packet.subspan(kHeaderLength), frame, why);
}

std::vector<std::uint8_t> EncodeCanPacket(const Frame& frame) {
  std::uint32_t id_word = frame.id;
  if (frame.Is(kExtendedId)) id_word |= kIdExtended;
  if (frame.Is(kRemote)) id_word |= kIdRemote;
  if (frame.Is(kErrorMessage)) id_word |= kIdError;
  unsigned fd_octet = 0;
  if (frame.Is(kFlexibleData)) fd_octet |= kFdFormat;
  if (frame.Is(kBitRateSwitch)) fd_octet |= kFdBitRateSwitch;
  if (frame.Is(kErrorState)) fd_octet |= kFdErrorState;
  std::vector<std::uint8_t> packet;
  ByteWriter writer(packet, ByteOrder::kBig);
  writer.Put(id_word);
  writer.Put(frame.length);
  writer.Put(static_cast<std::uint8_t>(fd_octet));
  writer.Put(std::uint8_t{0});
  writer.Put(frame.raw_dlc);
  writer.PutBytes(frame.payload());
  return packet;
}

}  // namespace proofdrive::output
