#include "output/pcapng/writer.h"

#include <algorithm>

#include "output/pcapng/blocks.h"
#include "output/pcapng/can_packet.h"

namespace proofdrive::output {
namespace {

constexpr std::size_t kFlushBytes = 256 * 1024;
constexpr std::uint8_t kNanoseconds = 9;

void PutTime(BlockBuilder& block, std::uint64_t ns) {
  block.Put(static_cast<std::uint32_t>(ns >> 32));
  block.Put(static_cast<std::uint32_t>(ns & 0xFFFFFFFF));
}

std::vector<std::uint8_t> TimeOption(std::uint64_t ns) {
  std::vector<std::uint8_t> bytes;
  ByteWriter writer(bytes);
  writer.Put(static_cast<std::uint32_t>(ns >> 32));
  writer.Put(static_cast<std::uint32_t>(ns & 0xFFFFFFFF));
  return bytes;
}

// Times are unsigned in the format.
Result<std::uint64_t> CaptureTime(WallTime time) {
  const std::int64_t ns = ToNanoseconds(time);
  if (ns >= 0) return static_cast<std::uint64_t>(ns);
  return Status(ErrorKind::kInvalidArgument,
                "a time before 1970 (" + FormatWallTime(time) + ") cannot be written to pcapng");
}

}  // namespace

Result<std::unique_ptr<CaptureWriter>> CaptureWriter::Create(Files& files, const std::string& path,
                                                             const std::string& application) {
  ASSIGN_OR_RETURN(auto file, files.Create(path));
  std::unique_ptr<CaptureWriter> writer(new CaptureWriter(std::move(file)));
  writer->PutSection(application);
  return writer;
}

void CaptureWriter::PutSection(const std::string& application) {
  BlockBuilder block(kSectionHeader);
  block.Put(kByteOrderMagic);
  block.Put(std::uint16_t{1});
  block.Put(std::uint16_t{0});
  block.Put(~std::uint64_t{0});  // section length not stated
  block.PutTextOption(kSectionApplication, application);
  block.AppendTo(buffer_);
}

Status CaptureWriter::AddChannel(const session::Channel& channel) {
  BlockBuilder block(kInterfaceDescription);
  block.Put(kLinkTypeCan);
  block.Put(std::uint16_t{0});
  block.Put(std::uint32_t{0});  // no snap length
  block.PutTextOption(kInterfaceName, channel.name);
  if (!channel.bus.empty()) block.PutTextOption(kInterfaceAbout, "bus " + channel.bus);
  if (channel.bitrate != 0) {
    block.PutOption(kInterfaceSpeed, LittleEndian(std::uint64_t{channel.bitrate}));
  }
  block.PutOption(kTimeResolution, LittleEndian(kNanoseconds));
  block.AppendTo(buffer_);
  Interface& interface = interfaces_[channel.number];
  interface.known = true;
  interface.number = interface_count_++;
  return FlushIfLarge();
}

Status CaptureWriter::AddFrame(const Frame& frame, std::uint64_t dropped_before) {
  Interface& interface = interfaces_[frame.channel];
  if (!interface.known) {
    return Status(ErrorKind::kInvalidArgument,
                  "channel " + std::to_string(frame.channel) + " is not described");
  }
  ASSIGN_OR_RETURN(const std::uint64_t ns, CaptureTime(frame.time));
  const std::vector<std::uint8_t> packet = EncodeCanPacket(frame);
  BlockBuilder block(kEnhancedPacket);
  block.Put(interface.number);
  PutTime(block, ns);
  block.Put(static_cast<std::uint32_t>(packet.size()));
  block.Put(static_cast<std::uint32_t>(packet.size()));
  block.PutPadded(packet);
  block.PutOption(kPacketFlags, LittleEndian(frame.Is(kSentHere) ? kOutbound : kInbound));
  if (dropped_before != 0) block.PutOption(kPacketDropCount, LittleEndian(dropped_before));
  block.AppendTo(buffer_);
  interface.first_ns = interface.frames == 0 ? ns : std::min(interface.first_ns, ns);
  interface.last_ns = std::max(interface.last_ns, ns);
  ++interface.frames;
  interface.drops += dropped_before;
  return FlushIfLarge();
}

Status CaptureWriter::AddMark(WallTime time, const std::string& text) {
  ASSIGN_OR_RETURN(const std::uint64_t ns, CaptureTime(time));
  BlockBuilder block(kInterfaceStatistics);
  block.Put(std::uint32_t{0});
  PutTime(block, ns);
  block.PutTextOption(kComment, text);
  block.AppendTo(buffer_);
  return FlushIfLarge();
}

void CaptureWriter::AddTrailingDrops(std::uint8_t channel, std::uint64_t count) {
  interfaces_[channel].drops += count;
}

void CaptureWriter::PutStatistics(const Interface& interface) {
  BlockBuilder block(kInterfaceStatistics);
  block.Put(interface.number);
  PutTime(block, interface.last_ns);
  if (interface.frames != 0) {
    block.PutOption(kStatisticsStart, TimeOption(interface.first_ns));
    block.PutOption(kStatisticsEnd, TimeOption(interface.last_ns));
  }
  block.PutOption(kStatisticsReceived, LittleEndian(interface.frames));
  block.PutOption(kStatisticsInterfaceDrops, LittleEndian(interface.drops));
  block.AppendTo(buffer_);
}

Status CaptureWriter::FlushIfLarge() {
  return buffer_.size() < kFlushBytes ? Status::Ok() : Flush();
}

Status CaptureWriter::Flush() {
  RETURN_IF_ERROR(file_->Append(buffer_));
  buffer_.clear();
  return Status::Ok();
}

Status CaptureWriter::Finish() {
  std::vector<Interface> in_order;
  for (const Interface& interface : interfaces_) {
    if (interface.known) in_order.push_back(interface);
  }
  std::sort(in_order.begin(), in_order.end(),
            [](const Interface& a, const Interface& b) { return a.number < b.number; });
  for (const Interface& interface : in_order) PutStatistics(interface);
  RETURN_IF_ERROR(Flush());
  return file_->Sync();
}

}  // namespace proofdrive::output
