// Classic pcap, IETF draft-ietf-opsawg-pcap: one interface, one record after the other.
#include "output/pcapng/blocks.h"
#include "output/pcapng/formats.h"

namespace proofdrive::output {
namespace {

constexpr std::uint32_t kMicrosecondMagic = 0xA1B2C3D4;
constexpr std::uint32_t kNanosecondMagic = 0xA1B23C4D;
constexpr std::size_t kFileHeader = 24;
constexpr std::size_t kRecordHeader = 16;
// The largest packet any writer of the format makes.
constexpr std::uint32_t kMaxPacket = 262144;

struct Magic {
  bool known = false;
  ByteOrder order = ByteOrder::kLittle;
  std::uint8_t resolution = 6;
};

Magic ReadMagic(ByteSpan bytes) {
  for (const ByteOrder order : {ByteOrder::kLittle, ByteOrder::kBig}) {
    ByteReader reader(bytes, order);
    const auto magic = reader.Get<std::uint32_t>();
    if (magic == kMicrosecondMagic) return {true, order, 6};
    if (magic == kNanosecondMagic) return {true, order, 9};
  }
  return {};
}

class ClassicReader : public FormatReader {
 public:
  using FormatReader::FormatReader;
  // Reads the file's header and moves past it.
  Status Start();

 protected:
  Status ReadMore(CaptureItem& item) override;

 private:
  Magic magic_;
};

Status ClassicReader::Start() {
  ASSIGN_OR_RETURN(const ByteSpan head, input_.Peek(kFileHeader));
  magic_ = ReadMagic(head);
  if (head.size() < kFileHeader) {
    StopAtTruncation();
    return Status::Ok();
  }
  InterfaceText text;
  // The upper half holds flags.
  text.link_type = static_cast<std::uint16_t>(
      ByteReader(head.subspan(20), magic_.order).Get<std::uint32_t>() & 0xFFFF);
  text.scale.resolution = magic_.resolution;
  intake_.AddInterface(text);
  input_.Skip(kFileHeader);
  return Status::Ok();
}

Status ClassicReader::ReadMore(CaptureItem& item) {
  ASSIGN_OR_RETURN(const ByteSpan head, input_.Peek(kRecordHeader));
  ByteReader reader(head, magic_.order);
  const std::uint64_t seconds = reader.Get<std::uint32_t>();
  const std::uint64_t fraction = reader.Get<std::uint32_t>();
  const auto captured = reader.Get<std::uint32_t>();
  Intake::Packet packet;
  packet.original_length = reader.Get<std::uint32_t>();
  packet.file_offset = input_.position();
  packet.ticks = seconds * (magic_.resolution == 9 ? 1'000'000'000U : 1'000'000U) + fraction;
  if (reader.ok() && captured > kMaxPacket) {
    StopAtDamage("a packet of " + std::to_string(captured) + " bytes cannot be");
    return Status::Ok();
  }
  ASSIGN_OR_RETURN(const ByteSpan record, input_.Peek(kRecordHeader + captured));
  if (!reader.ok() || record.size() < kRecordHeader + captured) {
    StopAtTruncation();
    return Status::Ok();
  }
  packet.bytes = record.subspan(kRecordHeader);
  intake_.Take(packet, item);
  input_.Skip(kRecordHeader + captured);
  return Status::Ok();
}

}  // namespace

bool IsClassicPcapMagic(ByteSpan bytes) { return ReadMagic(bytes).known; }

Result<std::unique_ptr<CaptureReader>> OpenClassicPcap(CaptureInput input, const std::string&) {
  auto reader = std::make_unique<ClassicReader>(std::move(input));
  RETURN_IF_ERROR(reader->Start());
  return std::unique_ptr<CaptureReader>(std::move(reader));
}

}  // namespace proofdrive::output
