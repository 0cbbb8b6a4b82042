// What the readers of both capture formats share: interfaces to channels, packets to frames,
// counts.
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <unordered_map>
#include <vector>

#include "core/base/bytes.h"
#include "output/pcapng/reader.h"
#include "output/pcapng/timestamps.h"

namespace proofdrive::output {

// An interface as the file describes it.
struct InterfaceText {
  std::uint16_t link_type = 0;
  TimeScale scale;
  std::string name;  // empty when the file gives none
  std::string bus;
  std::uint64_t bitrate = 0;
};

// Frame::channel is one byte.
inline constexpr std::size_t kMaxChannels = 256;

class Intake {
 public:
  // Interface numbers start again at 0.
  void StartSection();
  void AddInterface(const InterfaceText& text);
  std::size_t interface_count() const { return interfaces_.size(); }

  struct Packet {
    std::uint64_t file_offset = 0;
    std::uint64_t interface_number = 0;
    std::optional<std::uint64_t> ticks;  // nullopt: has no time of its own
    std::uint32_t original_length = 0;
    ByteSpan bytes;
    bool sent_here = false;
    std::uint64_t dropped_before = 0;
    std::vector<std::string> comments;
  };
  // Adds the frame and its events to `item`, or counts why not.
  void Take(const Packet& packet, CaptureItem& item);

  // A total of frames lost on an interface so far: what exceeds the sum of `dropped_before` becomes
  // an event. Comments become marks.
  void TakeStatistics(std::uint64_t interface_number, std::uint64_t ticks,
                      std::uint64_t dropped_total, const std::vector<std::string>& comments,
                      CaptureItem& item);
  // A comment without a time: becomes a mark at the next frame.
  void TakeUntimedComment(std::string text);
  // At the end of the file, when no frame came after them.
  void FlushComments(CaptureItem& item);

  void CountMalformed(std::uint64_t file_offset, const std::string& why);

  const std::vector<session::Channel>& channels() const { return channels_; }
  CaptureSummary& summary() { return summary_; }
  const CaptureSummary& summary() const { return summary_; }

 private:
  struct Interface {
    std::uint16_t link_type = 0;
    TimeScale scale;
    bool placed = false;  // has a channel
    std::uint8_t channel = 0;
    std::uint64_t drops = 0;
  };

  // nullptr when frames of this interface are not taken; counts why.
  Interface* Usable(const Packet& packet);
  void PlaceInterface(const InterfaceText& text, Interface& interface);
  // `name`, or with a number behind it when another interface of this section has it.
  std::string FreeName(const std::string& name) const;
  bool IsTaken(const std::string& name) const;
  void AddChannel(const std::string& name, const InterfaceText& text);
  void AddDrops(const Interface& interface, WallTime time, std::uint64_t count, CaptureItem& item);
  static void AddMark(WallTime time, const std::string& text, CaptureItem& item);

  std::vector<Interface> interfaces_;  // of this section
  std::vector<session::Channel> channels_;
  std::unordered_map<std::string, std::uint8_t> by_name_;  // of channels_
  std::array<bool, kMaxChannels> taken_{};                 // channels of this section
  std::vector<std::string> untimed_comments_;
  WallTime last_time_{};
  CaptureSummary summary_;
};

}  // namespace proofdrive::output
