// Reads CAN frames from a capture file: pcapng (IETF draft-ietf-opsawg-pcapng) or classic pcap
// (draft-ietf-opsawg-pcap), link type 227. Streams: memory does not grow with the file.
#pragma once

#include <cstdint>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "core/base/result.h"
#include "core/frame/frame.h"
#include "session/model/header.h"
#include "session/reader.h"

namespace proofdrive::output {

// What was found so far, and what could not be used.
struct CaptureSummary {
  struct OtherLink {
    std::uint64_t interfaces = 0;
    std::uint64_t packets = 0;
  };

  std::uint64_t frames = 0;
  // Interfaces of other link types, by link type; their packets are skipped.
  std::map<std::uint16_t, OtherLink> other_links;
  std::uint64_t extra_long = 0;  // CAN XL frames, skipped
  std::uint64_t malformed = 0;   // packets that are no possible CAN frame, skipped
  std::string first_malformed;   // "byte 1234: ..."
  std::uint64_t untimed = 0;     // frames without a time of their own, given that of the one before
  std::uint64_t unplaced = 0;    // frames of interfaces beyond the 256th, skipped
  std::uint64_t unknown_blocks = 0;  // blocks of unknown type or over 1 MiB, skipped
  std::uint64_t lost_comments = 0;   // comments beyond the first thousand without a time
  // Set when reading ended before the end of the file: truncated, or makes no sense from there on.
  std::optional<session::Loss> loss;
};

// The summary as sentences for people, one for each thing that was skipped or odd.
std::vector<std::string> Notices(const CaptureSummary& summary);

// The next thing in the file: events first, then the frame, as they happened.
struct CaptureItem {
  // kMark (comments) and kDrops (frames lost before this one).
  std::vector<session::Event> events;
  std::optional<Frame> frame;
};

// One thread at a time.
class CaptureReader {
 public:
  virtual ~CaptureReader() = default;

  // Fills `item` in the order of the file and returns true; false at the end. Damage is no error:
  // reading ends there and summary().loss says where. Errors are those of the file system.
  virtual Result<bool> Next(CaptureItem& item) = 0;

  // CAN interfaces seen so far, numbered from 0 in order of appearance. A frame's channel is always
  // among them. Interfaces of the same name in different sections are one channel.
  virtual const std::vector<session::Channel>& channels() const = 0;
  virtual const CaptureSummary& summary() const = 0;
  // The section being read was written by our own exporter, whose order is that of the recording.
  virtual bool own_order() const = 0;
  // For progress.
  virtual std::uint64_t position() const = 0;
  virtual std::uint64_t size() const = 0;
};

}  // namespace proofdrive::output
