// One CAN frame as it was seen on a bus (ISO 11898-1): classic or FD, data, remote or error.
#pragma once

#include <array>
#include <compare>
#include <cstdint>
#include <string>

#include "core/base/bytes.h"
#include "core/base/time.h"

namespace proofdrive {

// Bits of Frame::flags. DO NOT CHANGE THESE VALUES: they are embedded in session files
// (docs/session-format.md).
enum FrameFlag : std::uint8_t {
  kExtendedId = 0x01,     // 29-bit identifier
  kRemote = 0x02,         // remote frame: length is the DLC asked for, no data
  kErrorMessage = 0x04,   // report of the controller, not a frame of the bus; id holds the class
                          // bits and data the 8 bytes of linux/can/error.h
  kFlexibleData = 0x08,   // CAN FD format
  kBitRateSwitch = 0x10,  // FD: data phase at the higher bit rate
  kErrorState = 0x20,     // FD: the sender is error passive
  kSentHere = 0x40,       // sent by this machine, not received from the bus
};

inline constexpr std::uint32_t kMaxBaseId = 0x7FF;
inline constexpr std::uint32_t kMaxExtendedId = 0x1FFFFFFF;
inline constexpr std::size_t kMaxClassicLength = 8;
inline constexpr std::size_t kMaxFdLength = 64;

// A plain value: copying it copies the frame.
struct Frame {
  // Receive time as stated by the source (kernel, hardware or file).
  WallTime time;
  // 0..0x7FF, or 0..0x1FFFFFFF when kExtendedId; for kErrorMessage the error class bits.
  std::uint32_t id = 0;
  // Number of the adapter port within the session, 0..255; see session::Channel.
  std::uint8_t channel = 0;
  std::uint8_t flags = 0;
  // Data bytes, 0..8 classic, 0..64 FD; for a remote frame the DLC asked for (0..8).
  std::uint8_t length = 0;
  // Classic frames whose DLC was 9..15 on the wire although they carry 8 bytes, else 0.
  std::uint8_t raw_dlc = 0;
  // Bytes from `length` on are zero.
  std::array<std::uint8_t, kMaxFdLength> data{};

  bool Is(FrameFlag flag) const { return (flags & flag) != 0; }
  // The data bytes; empty for a remote frame.
  ByteSpan payload() const { return {data.data(), Is(kRemote) ? std::size_t{0} : length}; }

  friend bool operator==(const Frame&, const Frame&) = default;
};

// What makes frames one stream: same port, identifier, kind and length.
// kSentHere, kBitRateSwitch and kErrorState take part too (they are flags of the frame).
struct StreamKey {
  std::uint8_t channel = 0;
  std::uint32_t id = 0;
  std::uint8_t flags = 0;
  std::uint8_t length = 0;
  std::uint8_t raw_dlc = 0;

  friend auto operator<=>(const StreamKey&, const StreamKey&) = default;
};

inline StreamKey KeyOf(const Frame& frame) {
  return {frame.channel, frame.id, frame.flags, frame.length, frame.raw_dlc};
}

// The other way round: a frame of this stream; its time and data are still to be filled in.
inline Frame FrameOf(const StreamKey& key) {
  Frame frame;
  frame.channel = key.channel;
  frame.id = key.id;
  frame.flags = key.flags;
  frame.length = key.length;
  frame.raw_dlc = key.raw_dlc;
  return frame;
}

// Checks the rules above. Says which is broken; used on everything that comes from outside.
Status Validate(const Frame& frame);

// The identifier for people: "2A1" (three digits), "18DAF110" (eight digits), "error 0204".
std::string FormatId(std::uint32_t id, std::uint8_t flags);

// Payload length for a CAN FD DLC 0..15 (ISO 11898-1 cl. 8.4.2.4), and the smallest DLC whose
// length is at least `length` (0..64).
std::uint8_t FdLengthOfDlc(std::uint8_t dlc);
std::uint8_t FdDlcOfLength(std::uint8_t length);

// Bits on the wire of a classic data or remote frame, 3 intermission bits included, without and
// with the most stuff bits that can occur (ISO 11898-1; Linux linux/can/length.h).
struct BitCount {
  std::uint32_t least = 0;
  std::uint32_t most = 0;
};
// Also for FD frames, counted as if all bits were sent at one rate. Zero for error messages.
BitCount WireBits(const Frame& frame);

}  // namespace proofdrive
