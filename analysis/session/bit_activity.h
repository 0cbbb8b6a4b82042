// Which bits of a stream's payload change, and whether they do so all the time.
#pragma once

#include <array>
#include <cstdint>
#include <vector>

#include "core/frame/frame.h"

namespace proofdrive::analysis {

class BitActivity {
 public:
  // `at`: session time, not decreasing.
  void Add(ByteSpan payload, Duration at);

  // One mask per byte: bits that changed at any time.
  std::vector<std::uint8_t> Ever() const;
  // Bits that changed in every one of 8 to 16 parts of equal length. All zero before there are 8.
  std::vector<std::uint8_t> Always() const;
  // The last payload.
  std::vector<std::uint8_t> Last() const {
    return {last_.begin(), last_.begin() + static_cast<std::ptrdiff_t>(last_bytes_)};
  }

 private:
  static constexpr std::size_t kMostParts = 16;
  using Mask = std::array<std::uint8_t, kMaxFdLength>;

  static constexpr std::size_t kUsual = 8;  // bytes of a payload

  void AddWord(ByteSpan payload, Mask& mask);
  void WidenParts();
  void EnterPart(Duration at);

  std::size_t bytes_ = 0;  // longest payload
  std::size_t last_bytes_ = 0;
  Mask last_{};
  Duration first_{0};
  bool started_ = false;
  Duration width_ = std::chrono::milliseconds(250);
  Duration part_end_{0};  // of the part the last frame was in
  std::size_t part_ = 0;
  std::vector<Mask> parts_;
};

}  // namespace proofdrive::analysis
