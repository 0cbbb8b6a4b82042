// The wire form of protobuf messages, read and written by hand where generated code would take a
// large part of the time: the many small messages of a chunk directory, the columns of a journal
// batch. Private to this layer.
#pragma once

#include <bit>
#include <cstdint>
#include <cstring>
#include <vector>

#include "core/base/bytes.h"

namespace proofdrive::session {

enum class WireType : std::uint32_t { kVarint = 0, kFixed64 = 1, kBytes = 2, kFixed32 = 5 };

inline std::size_t VarintSize(std::uint64_t value) {
  return (static_cast<std::size_t>(std::bit_width(value | 1)) + 6) / 7;
}

// Returns where the next byte goes. REQUIRES: VarintSize(value) bytes of room.
inline std::uint8_t* PutVarint(std::uint64_t value, std::uint8_t* out) {
  for (; value >= 0x80; value >>= 7) *out++ = static_cast<std::uint8_t>(value | 0x80);
  *out++ = static_cast<std::uint8_t>(value);
  return out;
}

inline void AppendVarint(std::uint64_t value, std::vector<std::uint8_t>& out) {
  for (; value >= 0x80; value >>= 7) out.push_back(static_cast<std::uint8_t>(value | 0x80));
  out.push_back(static_cast<std::uint8_t>(value));
}

inline std::uint32_t TagOf(std::uint32_t field, WireType type) {
  return field << 3 | static_cast<std::uint32_t>(type);
}

// Signed numbers of small size as unsigned numbers of small size (protobuf sint64), and back.
inline std::uint64_t ZigZag(std::int64_t value) {
  return static_cast<std::uint64_t>(value) << 1 ^ (value < 0 ? ~std::uint64_t{0} : 0);
}
inline std::int64_t UnZigZag(std::uint64_t value) {
  return static_cast<std::int64_t>(value >> 1 ^ (~(value & 1) + 1));
}

// Reads one message from untrusted bytes, field by field:
//   while (reader.Next()) switch (reader.field()) { case 1: x = reader.Number(); ...
//     default: reader.Skip(); }
// After the first thing that makes no sense Next() returns false, values are 0 and ok() is false.
class WireReader {
 public:
  explicit WireReader(ByteSpan bytes) : at_(bytes.data()), end_(bytes.data() + bytes.size()) {}

  bool Next() {
    if (at_ == end_) return false;
    const std::uint64_t tag = Varint();
    field_ = static_cast<std::uint32_t>(tag >> 3);
    type_ = static_cast<WireType>(tag & 7);
    if (field_ == 0) Fail();
    return ok_;
  }
  std::uint32_t field() const { return field_; }
  WireType type() const { return type_; }
  bool ok() const { return ok_; }
  void Fail() {
    ok_ = false;
    at_ = end_;
  }

  // The value of the field, which must be of that form. Each is to be read once.
  std::uint64_t Number() {
    if (type_ != WireType::kVarint) Fail();
    return Varint();
  }
  std::uint32_t Number32() { return static_cast<std::uint32_t>(Number()); }
  // Fails when the value is too large.
  std::uint8_t Byte() {
    const std::uint64_t value = Number();
    if (value > 0xFF) Fail();
    return static_cast<std::uint8_t>(value);
  }
  std::int64_t Signed() { return UnZigZag(Number()); }
  std::uint32_t Fixed32() {
    if (type_ != WireType::kFixed32) Fail();
    return ByteReader(Take(sizeof(std::uint32_t))).Get<std::uint32_t>();
  }
  ByteSpan Bytes() {
    if (type_ != WireType::kBytes) Fail();
    return Take(Varint());
  }
  void Skip() {
    switch (type_) {
      case WireType::kVarint:
        Varint();
        return;
      case WireType::kFixed64:
        Take(sizeof(std::uint64_t));
        return;
      case WireType::kBytes:
        Take(Varint());
        return;
      case WireType::kFixed32:
        Take(sizeof(std::uint32_t));
        return;
    }
    Fail();
  }

 private:
  std::uint64_t Varint() {
    std::uint64_t value = 0;
    for (unsigned shift = 0; at_ != end_ && shift < 64; shift += 7) {
      const std::uint8_t byte = *at_++;
      value |= static_cast<std::uint64_t>(byte & 0x7F) << shift;
      if (byte < 0x80) return value;
    }
    Fail();
    return 0;
  }

  ByteSpan Take(std::uint64_t count) {
    if (count > static_cast<std::uint64_t>(end_ - at_)) Fail();
    if (!ok_) return {};
    const ByteSpan bytes(at_, static_cast<std::size_t>(count));
    at_ += count;
    return bytes;
  }

  const std::uint8_t* at_;
  const std::uint8_t* end_;
  std::uint32_t field_ = 0;
  WireType type_ = WireType::kVarint;
  bool ok_ = true;
};

}  // namespace proofdrive::session
