// The block structure of pcapng (IETF draft-ietf-opsawg-pcapng sections 3 and 4): constants, and
// the two shapes everything is made of, blocks and options.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/bytes.h"

namespace proofdrive::output {

// Block types. A section header reads the same in both byte orders.
inline constexpr std::uint32_t kSectionHeader = 0x0A0D0D0A;
inline constexpr std::uint32_t kInterfaceDescription = 1;
inline constexpr std::uint32_t kSimplePacket = 3;
inline constexpr std::uint32_t kNameResolution = 4;
inline constexpr std::uint32_t kInterfaceStatistics = 5;
inline constexpr std::uint32_t kEnhancedPacket = 6;
inline constexpr std::uint32_t kDecryptionSecrets = 10;
inline constexpr std::uint32_t kCustomBlock = 0x00000BAD;
inline constexpr std::uint32_t kCustomBlockNoCopy = 0x40000BAD;

inline constexpr std::uint32_t kByteOrderMagic = 0x1A2B3C4D;
// Type, length and the length again at the end.
inline constexpr std::size_t kBlockOverhead = 12;

// Option codes. The meaning of a code above 1 depends on the block it is in.
inline constexpr std::uint16_t kEndOfOptions = 0;
inline constexpr std::uint16_t kComment = 1;
inline constexpr std::uint16_t kSectionApplication = 4;
inline constexpr std::uint16_t kInterfaceName = 2;
inline constexpr std::uint16_t kInterfaceAbout = 3;
inline constexpr std::uint16_t kInterfaceSpeed = 8;
inline constexpr std::uint16_t kTimeResolution = 9;
inline constexpr std::uint16_t kTimeOffset = 14;
inline constexpr std::uint16_t kPacketFlags = 2;
inline constexpr std::uint16_t kPacketDropCount = 4;
inline constexpr std::uint16_t kStatisticsStart = 2;
inline constexpr std::uint16_t kStatisticsEnd = 3;
inline constexpr std::uint16_t kStatisticsReceived = 4;
inline constexpr std::uint16_t kStatisticsInterfaceDrops = 5;
inline constexpr std::uint16_t kStatisticsSystemDrops = 7;

// Bits 0-1 of the packet flags.
inline constexpr std::uint32_t kDirectionMask = 3;
inline constexpr std::uint32_t kInbound = 1;
inline constexpr std::uint32_t kOutbound = 2;

// Link types, from the registry of tcpdump.org.
inline constexpr std::uint16_t kLinkTypeCan = 227;  // LINKTYPE_CAN_SOCKETCAN

// For people: "Ethernet (1)", or only the number when it is not one we name.
std::string LinkTypeText(std::uint16_t link_type);

// One option, its value pointing into the block it was read from.
struct Option {
  std::uint16_t code = 0;
  ByteSpan value;
};

// Walks the options of a block. Ends at opt_endofopt, at the end of the bytes, and at an option
// that claims more bytes than there are (then damaged() is true).
class OptionReader {
 public:
  OptionReader(ByteSpan bytes, ByteOrder order) : reader_(bytes, order) {}
  std::optional<Option> Next();
  bool damaged() const { return damaged_; }

 private:
  ByteReader reader_;
  bool damaged_ = false;
};

// The value of an option as an integer; nullopt when its length is not that of the type.
std::optional<std::uint8_t> OptionByte(const Option& option);
std::optional<std::uint32_t> OptionUint32(const Option& option, ByteOrder order);
std::optional<std::uint64_t> OptionUint64(const Option& option, ByteOrder order);
// Text of an option as it is (UTF-8 by the standard, but nobody has checked).
std::string_view OptionText(const Option& option);

// Builds one block, little endian. Call the Put functions in the order of the block's fields, the
// options after them, then AppendTo.
class BlockBuilder {
 public:
  explicit BlockBuilder(std::uint32_t type) : type_(type) {}
  template <class Unsigned>
  void Put(Unsigned value) {
    ByteWriter(body_).Put(value);
  }
  // Followed by zeros up to a multiple of four.
  void PutPadded(ByteSpan bytes);
  // A value longer than an option can be (65,535 bytes) is cut.
  void PutOption(std::uint16_t code, ByteSpan value);
  void PutTextOption(std::uint16_t code, std::string_view text);
  // The whole block; ends the options where there were any.
  void AppendTo(std::vector<std::uint8_t>& out);

 private:
  std::uint32_t type_;
  bool options_ = false;
  std::vector<std::uint8_t> body_;
};

// Little-endian bytes of an integer, for PutOption.
template <class Unsigned>
std::vector<std::uint8_t> LittleEndian(Unsigned value) {
  std::vector<std::uint8_t> bytes;
  ByteWriter(bytes).Put(value);
  return bytes;
}

}  // namespace proofdrive::output
