// Builds capture bytes in either byte order and reads them back, for the tests of this folder.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "core/base/bytes.h"
#include "core/base/text.h"
#include "output/pcapng/open_capture.h"
#include "tests/support/memory_files.h"

namespace proofdrive::output::testing {

using Bytes = std::vector<std::uint8_t>;

// 2023-11-14T22:13:20.123456789Z
inline constexpr std::int64_t kT0 = 1'700'000'000'123'456'789;

inline Bytes FromHex(const std::string& hex) { return ParseHexBytes(hex).value(); }

inline Bytes operator+(Bytes left, const Bytes& right) {
  left.insert(left.end(), right.begin(), right.end());
  return left;
}

struct OptionBytes {
  std::uint16_t code;
  Bytes value;
};

// Written independently of the code under test: plain concatenation by the draft's figures.
class BlockMaker {
 public:
  explicit BlockMaker(ByteOrder order) : order_(order) {}

  template <class Unsigned>
  Bytes Number(Unsigned value) const {
    Bytes bytes;
    ByteWriter(bytes, order_).Put(value);
    return bytes;
  }
  Bytes Padded(Bytes bytes) const {
    while (bytes.size() % 4 != 0) bytes.push_back(0);
    return bytes;
  }
  Bytes Block(std::uint32_t type, const Bytes& body) const {
    const Bytes length = Number(static_cast<std::uint32_t>(body.size() + 12));
    return Number(type) + length + body + length;
  }
  Bytes Options(const std::vector<OptionBytes>& options, bool end = true) const {
    Bytes bytes;
    for (const OptionBytes& option : options) {
      bytes = bytes + Number(option.code) +
              Number(static_cast<std::uint16_t>(option.value.size())) + Padded(option.value);
    }
    return end && !options.empty() ? bytes + Number(std::uint32_t{0}) : bytes;
  }
  Bytes Section(const std::vector<OptionBytes>& options = {}, std::uint16_t major = 1,
                std::uint16_t minor = 0) const {
    return Block(0x0A0D0D0A, Number(std::uint32_t{0x1A2B3C4D}) + Number(major) + Number(minor) +
                                 Number(~std::uint64_t{0}) + Options(options));
  }
  Bytes Interface(const std::vector<OptionBytes>& options = {}, std::uint16_t link = 227) const {
    return Block(
        1, Number(link) + Number(std::uint16_t{0}) + Number(std::uint32_t{0}) + Options(options));
  }
  Bytes Packet(std::uint32_t interface, std::uint64_t ticks, const Bytes& packet,
               const std::vector<OptionBytes>& options = {}) const {
    const auto length = static_cast<std::uint32_t>(packet.size());
    return Block(6, Number(interface) + Ticks(ticks) + Number(length) + Number(length) +
                        Padded(packet) + Options(options));
  }
  Bytes Statistics(std::uint32_t interface, std::uint64_t ticks,
                   const std::vector<OptionBytes>& options) const {
    return Block(5, Number(interface) + Ticks(ticks) + Options(options));
  }
  Bytes Ticks(std::uint64_t ticks) const {
    return Number(static_cast<std::uint32_t>(ticks >> 32)) +
           Number(static_cast<std::uint32_t>(ticks));
  }

 private:
  ByteOrder order_;
};

inline Bytes TextBytes(const std::string& text) { return Bytes(text.begin(), text.end()); }

struct Contents {
  Status opened;
  std::vector<Frame> frames;
  std::vector<session::Event> events;
  std::vector<session::Channel> channels;
  CaptureSummary summary;
};

inline Contents ReadCapture(const Bytes& bytes) {
  proofdrive::testing::MemoryFiles files;
  files.Put("x.pcapng", bytes);
  Contents contents;
  auto reader = OpenCapture(files, "x.pcapng");
  contents.opened = reader.status();
  if (!reader.ok()) return contents;
  CaptureItem item;
  while ((*reader)->Next(item).value()) {
    contents.events.insert(contents.events.end(), item.events.begin(), item.events.end());
    if (item.frame) contents.frames.push_back(*item.frame);
  }
  contents.channels = (*reader)->channels();
  contents.summary = (*reader)->summary();
  return contents;
}

inline Frame MakeFrame(std::int64_t time_ns, std::uint32_t id, std::uint8_t flags,
                       const std::string& data_hex, std::uint8_t channel = 0) {
  Frame frame;
  frame.time = WallFromNanoseconds(time_ns);
  frame.id = id;
  frame.flags = flags;
  frame.channel = channel;
  const Bytes data = FromHex(data_hex);
  frame.length = static_cast<std::uint8_t>(data.size());
  std::copy(data.begin(), data.end(), frame.data.begin());
  return frame;
}

}  // namespace proofdrive::output::testing
