#include "output/pcapng/intake.h"

#include <limits>

#include "core/base/text.h"
#include "output/pcapng/blocks.h"
#include "output/pcapng/can_packet.h"

namespace proofdrive::output {
namespace {

// Comments without a time that are kept until a frame gives them one.
constexpr std::size_t kMaxUntimedComments = 1000;

}  // namespace

void Intake::StartSection() {
  interfaces_.clear();
  taken_.fill(false);
}

void Intake::AddInterface(const InterfaceText& text) {
  Interface interface;
  interface.link_type = text.link_type;
  interface.scale = text.scale;
  if (text.link_type == kLinkTypeCan) {
    PlaceInterface(text, interface);
  } else {
    ++summary_.other_links[text.link_type].interfaces;
  }
  interfaces_.push_back(interface);
}

std::string Intake::FreeName(const std::string& name) const {
  std::string free = name;
  for (std::size_t n = interfaces_.size(); IsTaken(free); ++n)
    free = name + "-" + std::to_string(n);
  return free;
}

bool Intake::IsTaken(const std::string& name) const {
  const auto found = by_name_.find(name);
  return found != by_name_.end() && taken_[found->second];
}

void Intake::PlaceInterface(const InterfaceText& text, Interface& interface) {
  const std::string name = FreeName(text.name.empty() ? "ch" + std::to_string(interfaces_.size())
                                                      : Printable(text.name));
  const auto known = by_name_.find(name);  // the same interface in an earlier section
  if (known == by_name_.end() && channels_.size() == kMaxChannels) return;
  if (known == by_name_.end()) AddChannel(name, text);
  interface.placed = true;
  interface.channel = by_name_.at(name);
  taken_[interface.channel] = true;
}

void Intake::AddChannel(const std::string& name, const InterfaceText& text) {
  session::Channel channel;
  channel.number = static_cast<std::uint8_t>(channels_.size());
  channel.name = name;
  channel.bus = Printable(text.bus);
  if (text.bitrate <= std::numeric_limits<std::uint32_t>::max()) {
    channel.bitrate = static_cast<std::uint32_t>(text.bitrate);
  }
  channel.timestamps = "file";
  by_name_[name] = channel.number;
  channels_.push_back(std::move(channel));
}

Intake::Interface* Intake::Usable(const Packet& packet) {
  if (packet.interface_number >= interfaces_.size()) {
    CountMalformed(packet.file_offset, "a packet of interface " +
                                           std::to_string(packet.interface_number) +
                                           ", which the file does not describe");
    return nullptr;
  }
  Interface& interface = interfaces_[static_cast<std::size_t>(packet.interface_number)];
  if (interface.link_type != kLinkTypeCan) {
    ++summary_.other_links[interface.link_type].packets;
    return nullptr;
  }
  if (!interface.placed) {
    ++summary_.unplaced;
    return nullptr;
  }
  return &interface;
}

void Intake::Take(const Packet& packet, CaptureItem& item) {
  Interface* interface = Usable(packet);
  if (interface == nullptr) return;
  const auto time = packet.ticks ? TicksToWallTime(*packet.ticks, interface->scale)
                                 : std::optional<WallTime>(last_time_);
  if (!time) {
    CountMalformed(packet.file_offset, "a time outside the years 1677 to 2262");
    return;
  }
  last_time_ = *time;
  interface->drops += packet.dropped_before;
  AddDrops(*interface, *time, packet.dropped_before, item);
  for (const std::string& text : packet.comments) AddMark(*time, text, item);

  Frame frame;
  std::string why;
  const PacketKind kind = DecodeCanPacket(packet.bytes, packet.original_length, frame, why);
  if (kind == PacketKind::kMalformed) return CountMalformed(packet.file_offset, why);
  if (kind == PacketKind::kExtraLong) {
    ++summary_.extra_long;
    return;
  }
  FlushComments(item);
  frame.time = *time;
  frame.channel = interface->channel;
  if (packet.sent_here) frame.flags |= kSentHere;
  if (!packet.ticks) ++summary_.untimed;
  ++summary_.frames;
  item.frame = frame;
}

void Intake::TakeStatistics(std::uint64_t interface_number, std::uint64_t ticks,
                            std::uint64_t dropped_total, const std::vector<std::string>& comments,
                            CaptureItem& item) {
  if (interface_number >= interfaces_.size()) return;
  Interface& interface = interfaces_[static_cast<std::size_t>(interface_number)];
  if (!interface.placed) return;
  const WallTime time = TicksToWallTime(ticks, interface.scale).value_or(last_time_);
  if (dropped_total > interface.drops) {
    AddDrops(interface, time, dropped_total - interface.drops, item);
    interface.drops = dropped_total;
  }
  for (const std::string& text : comments) AddMark(time, text, item);
}

void Intake::AddDrops(const Interface& interface, WallTime time, std::uint64_t count,
                      CaptureItem& item) {
  if (count == 0) return;
  session::Event event;
  event.time = time;
  event.kind = session::EventKind::kDrops;
  event.channel = interface.channel;
  event.count = count;
  event.text = "stated by the capture";
  item.events.push_back(std::move(event));
}

void Intake::AddMark(WallTime time, const std::string& text, CaptureItem& item) {
  session::Event event;
  event.time = time;
  event.kind = session::EventKind::kMark;
  event.text = text;
  item.events.push_back(std::move(event));
}

void Intake::TakeUntimedComment(std::string text) {
  if (untimed_comments_.size() == kMaxUntimedComments) {
    ++summary_.lost_comments;
    return;
  }
  untimed_comments_.push_back(std::move(text));
}

void Intake::FlushComments(CaptureItem& item) {
  for (const std::string& text : untimed_comments_) AddMark(last_time_, text, item);
  untimed_comments_.clear();
}

void Intake::CountMalformed(std::uint64_t file_offset, const std::string& why) {
  if (summary_.malformed++ == 0) {
    summary_.first_malformed = "byte " + std::to_string(file_offset) + ": " + why;
  }
}

std::vector<std::string> Notices(const CaptureSummary& summary) {
  std::vector<std::string> notices;
  const auto say = [&](std::uint64_t count, const std::string& thing, const std::string& rest) {
    if (count > 0) notices.push_back(CountOf(count, thing) + " " + rest);
  };
  for (const auto& [link_type, other] : summary.other_links) {
    notices.push_back(CountOf(other.interfaces, "interface") + " of link type " +
                      LinkTypeText(link_type) + " skipped with " +
                      CountOf(other.packets, "packet") + "; only CAN (227) is read");
  }
  say(summary.extra_long, "CAN XL frame", "skipped; sessions hold classic and FD frames");
  say(summary.malformed, "malformed packet", "skipped, the first at " + summary.first_malformed);
  say(summary.untimed, "frame", "without a time of its own, given the time of the one before");
  say(summary.unplaced, "frame", "skipped: a session holds at most 256 channels");
  say(summary.unknown_blocks, "block", "of unknown type skipped");
  say(summary.lost_comments, "comment", "without a time skipped");
  if (summary.loss) notices.push_back(summary.loss->what + ". " + summary.loss->advice);
  return notices;
}

}  // namespace proofdrive::output
