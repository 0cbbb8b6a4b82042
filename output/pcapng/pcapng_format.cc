// pcapng, IETF draft-ietf-opsawg-pcapng section 4.
#include <algorithm>
#include <limits>
#include <string_view>

#include "output/pcapng/blocks.h"
#include "output/pcapng/formats.h"

namespace proofdrive::output {
namespace {

// No block we understand needs more; larger ones are stepped over without reading them.
constexpr std::uint32_t kMaxBlock = 1024 * 1024;
// Interfaces of one section. More are not described by any real recorder.
constexpr std::size_t kMaxInterfaces = 4096;
constexpr std::uint16_t kMajorVersion = 1;
// Written by our own exporter into if_description; see docs/captures.md.
constexpr std::string_view kOwnApplication = "proofdrive";
constexpr std::string_view kBusPrefix = "bus ";

std::uint64_t SaturatingAdd(std::uint64_t a, std::uint64_t b) {
  const std::uint64_t sum = a + b;
  return sum < a ? std::numeric_limits<std::uint64_t>::max() : sum;
}

class PcapngReader : public FormatReader {
 public:
  using FormatReader::FormatReader;
  // kUnsupportedVersion when the first section is not of version 1.
  Status Start(const std::string& path);
  bool own_order() const override { return own_file_; }

 protected:
  Status ReadMore(CaptureItem& item) override;

 private:
  struct BlockStart {
    std::uint32_t type = 0;
    std::uint32_t length = 0;
  };
  // Reads type and length at the position, and the byte order of a section header. False when
  // reading must stop there.
  Result<bool> ReadStart(BlockStart& start);
  Result<bool> SetByteOrder();
  Status StepOverLarge(const BlockStart& start);
  void Dispatch(std::uint32_t type, ByteSpan body, CaptureItem& item);
  void OnSection(ByteSpan body);
  void OnInterface(ByteSpan body);
  void OnEnhancedPacket(ByteSpan body, CaptureItem& item);
  void OnSimplePacket(ByteSpan body, CaptureItem& item);
  void OnStatistics(ByteSpan body, CaptureItem& item);
  static void OnPacketOption(const Option& option, ByteOrder order, Intake::Packet& packet);

  ByteOrder order_ = ByteOrder::kLittle;
  bool own_file_ = false;
};

Status PcapngReader::Start(const std::string& path) {
  ASSIGN_OR_RETURN(const ByteSpan head, input_.Peek(16));
  if (head.size() < 16) return Status::Ok();  // truncated: ReadMore says so
  ASSIGN_OR_RETURN(const bool known_order, SetByteOrder());
  if (!known_order) return Status::Ok();
  const auto major = ByteReader(head.subspan(12), order_).Get<std::uint16_t>();
  if (major == kMajorVersion) return Status::Ok();
  return Status(ErrorKind::kUnsupportedVersion,
                path + ": pcapng of version " + std::to_string(major) +
                    ", which is not known here; save it as version 1");
}

Result<bool> PcapngReader::SetByteOrder() {
  ASSIGN_OR_RETURN(const ByteSpan head, input_.Peek(12));
  if (head.size() < 12) return false;
  for (const ByteOrder order : {ByteOrder::kLittle, ByteOrder::kBig}) {
    if (ByteReader(head.subspan(8), order).Get<std::uint32_t>() != kByteOrderMagic) continue;
    order_ = order;
    return true;
  }
  return false;
}

Result<bool> PcapngReader::ReadStart(BlockStart& start) {
  ASSIGN_OR_RETURN(const ByteSpan head, input_.Peek(kBlockOverhead));
  if (head.size() < kBlockOverhead) {
    StopAtTruncation();
    return false;
  }
  if (ByteReader(head).Get<std::uint32_t>() == kSectionHeader) {
    ASSIGN_OR_RETURN(const bool known_order, SetByteOrder());
    if (!known_order) {
      StopAtDamage("a section without a byte order");
      return false;
    }
  }
  ByteReader reader(head, order_);
  start.type = reader.Get<std::uint32_t>();
  start.length = reader.Get<std::uint32_t>();
  if (start.length < kBlockOverhead || start.length % 4 != 0) {
    StopAtDamage("a block of " + std::to_string(start.length) + " bytes cannot be");
    return false;
  }
  if (start.length > input_.remaining()) {
    StopAtTruncation();
    return false;
  }
  return true;
}

Status PcapngReader::ReadMore(CaptureItem& item) {
  BlockStart start;
  ASSIGN_OR_RETURN(const bool usable, ReadStart(start));
  if (!usable) return Status::Ok();
  if (start.length > kMaxBlock) return StepOverLarge(start);
  ASSIGN_OR_RETURN(const ByteSpan block, input_.Peek(start.length));
  if (block.size() < start.length) {  // the file was cut while we read it
    StopAtTruncation();
    return Status::Ok();
  }
  if (ByteReader(block.last(4), order_).Get<std::uint32_t>() != start.length) {
    StopAtDamage("the two lengths of a block differ");
    return Status::Ok();
  }
  Dispatch(start.type, block.subspan(8, start.length - kBlockOverhead), item);
  if (!summary().loss) input_.Skip(start.length);
  return Status::Ok();
}

Status PcapngReader::StepOverLarge(const BlockStart& start) {
  ++intake_.summary().unknown_blocks;
  input_.Skip(start.length);
  return Status::Ok();
}

void PcapngReader::Dispatch(std::uint32_t type, ByteSpan body, CaptureItem& item) {
  if (type == kSectionHeader) return OnSection(body);
  switch (type) {
    case kInterfaceDescription:
      return OnInterface(body);
    case kEnhancedPacket:
      return OnEnhancedPacket(body, item);
    case kSimplePacket:
      return OnSimplePacket(body, item);
    case kInterfaceStatistics:
      return OnStatistics(body, item);
    case kNameResolution:
    case kDecryptionSecrets:
    case kCustomBlock:
    case kCustomBlockNoCopy:
      return;  // nothing in them concerns a CAN frame
    default:
      ++intake_.summary().unknown_blocks;
  }
}

void PcapngReader::OnSection(ByteSpan body) {
  ByteReader reader(body, order_);
  reader.Skip(4);  // the magic number
  const auto major = reader.Get<std::uint16_t>();
  reader.Skip(2 + 8);  // minor version, section length (not needed: blocks are followed one by one)
  intake_.StartSection();
  if (!reader.ok()) return StopAtDamage("a section header of too few bytes");
  if (major != kMajorVersion) {
    return StopAtDamage("a section of pcapng version " + std::to_string(major));
  }
  own_file_ = false;
  OptionReader options(body.subspan(reader.position()), order_);
  while (const auto option = options.Next()) {
    if (option->code == kComment) intake_.TakeUntimedComment(std::string(OptionText(*option)));
    if (option->code == kSectionApplication) {
      own_file_ = OptionText(*option).substr(0, kOwnApplication.size()) == kOwnApplication;
    }
  }
}

void PcapngReader::OnInterface(ByteSpan body) {
  if (intake_.interface_count() == kMaxInterfaces) {
    return StopAtDamage("a section of more than 4,096 interfaces");
  }
  ByteReader reader(body, order_);
  InterfaceText text;
  text.link_type = reader.Get<std::uint16_t>();
  reader.Skip(2 + 4);  // reserved, snap length
  if (!reader.ok()) return StopAtDamage("an interface description of too few bytes");
  OptionReader options(body.subspan(reader.position()), order_);
  while (const auto option = options.Next()) {
    const std::string_view words = OptionText(*option);
    switch (option->code) {
      case kComment:
        intake_.TakeUntimedComment(std::string(words));
        break;
      case kInterfaceName:
        text.name = words;
        break;
      case kInterfaceAbout:
        if (own_file_ && words.substr(0, kBusPrefix.size()) == kBusPrefix) {
          text.bus = words.substr(kBusPrefix.size());
        }
        break;
      case kInterfaceSpeed:
        text.bitrate = OptionUint64(*option, order_).value_or(0);
        break;
      case kTimeResolution:
        text.scale.resolution = OptionByte(*option).value_or(text.scale.resolution);
        break;
      case kTimeOffset:
        text.scale.offset_seconds =
            static_cast<std::int64_t>(OptionUint64(*option, order_).value_or(0));
        break;
      default:
        break;
    }
  }
  intake_.AddInterface(text);
}

void PcapngReader::OnPacketOption(const Option& option, ByteOrder order, Intake::Packet& packet) {
  switch (option.code) {
    case kComment:
      packet.comments.emplace_back(OptionText(option));
      break;
    case kPacketFlags:
      packet.sent_here = (OptionUint32(option, order).value_or(0) & kDirectionMask) == kOutbound;
      break;
    case kPacketDropCount:
      packet.dropped_before = OptionUint64(option, order).value_or(0);
      break;
    default:
      break;
  }
}

void PcapngReader::OnEnhancedPacket(ByteSpan body, CaptureItem& item) {
  ByteReader reader(body, order_);
  Intake::Packet packet;
  packet.file_offset = input_.position();
  packet.interface_number = reader.Get<std::uint32_t>();
  const std::uint64_t high = reader.Get<std::uint32_t>();
  packet.ticks = (high << 32) | reader.Get<std::uint32_t>();
  const std::size_t captured = reader.Get<std::uint32_t>();
  packet.original_length = reader.Get<std::uint32_t>();
  packet.bytes = reader.GetBytes(captured);
  if (!reader.ok()) {
    return intake_.CountMalformed(packet.file_offset, "a packet that claims more than its block");
  }
  reader.Skip(std::min((4 - captured % 4) % 4, reader.remaining()));
  OptionReader options(body.subspan(reader.position()), order_);
  while (const auto option = options.Next()) OnPacketOption(*option, order_, packet);
  intake_.Take(packet, item);
}

void PcapngReader::OnSimplePacket(ByteSpan body, CaptureItem& item) {
  ByteReader reader(body, order_);
  Intake::Packet packet;
  packet.file_offset = input_.position();
  packet.original_length = reader.Get<std::uint32_t>();
  if (!reader.ok()) {
    return intake_.CountMalformed(packet.file_offset, "a packet that claims more than its block");
  }
  packet.bytes = reader.GetBytes(std::min<std::size_t>(packet.original_length, reader.remaining()));
  intake_.Take(packet, item);
}

void PcapngReader::OnStatistics(ByteSpan body, CaptureItem& item) {
  ByteReader reader(body, order_);
  const auto interface_number = reader.Get<std::uint32_t>();
  const std::uint64_t high = reader.Get<std::uint32_t>();
  const std::uint64_t ticks = (high << 32) | reader.Get<std::uint32_t>();
  if (!reader.ok()) return;
  std::uint64_t drops = 0;
  std::vector<std::string> comments;
  OptionReader options(body.subspan(reader.position()), order_);
  while (const auto option = options.Next()) {
    if (option->code == kComment) comments.emplace_back(OptionText(*option));
    if (option->code == kStatisticsInterfaceDrops || option->code == kStatisticsSystemDrops) {
      drops = SaturatingAdd(drops, OptionUint64(*option, order_).value_or(0));
    }
  }
  intake_.TakeStatistics(interface_number, ticks, drops, comments, item);
}

}  // namespace

Result<std::unique_ptr<CaptureReader>> OpenPcapng(CaptureInput input, const std::string& path) {
  auto reader = std::make_unique<PcapngReader>(std::move(input));
  RETURN_IF_ERROR(reader->Start(path));
  return std::unique_ptr<CaptureReader>(std::move(reader));
}

}  // namespace proofdrive::output
