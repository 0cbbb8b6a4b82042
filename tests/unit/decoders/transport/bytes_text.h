// Bytes as hexadecimal text, in tests of messages.
#pragma once

#include <numeric>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/text.h"

namespace proofdrive::decoders::testing {

inline std::vector<std::uint8_t> Hex(std::string_view text) { return ParseHexBytes(text).value(); }

inline std::string ToHex(ByteSpan bytes) { return HexBytes(bytes); }

// `count` bytes: 00 01 02 ... FF 00 ...
inline std::vector<std::uint8_t> Counting(std::size_t count) {
  std::vector<std::uint8_t> bytes(count);
  std::iota(bytes.begin(), bytes.end(), std::uint8_t{0});
  return bytes;
}

inline std::vector<std::uint8_t> Text(std::string_view text) { return {text.begin(), text.end()}; }

inline std::vector<std::uint8_t> Joined(std::vector<std::uint8_t> first,
                                        const std::vector<std::uint8_t>& second) {
  first.insert(first.end(), second.begin(), second.end());
  return first;
}

}  // namespace proofdrive::decoders::testing
