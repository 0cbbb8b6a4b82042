// Bounded reading and writing of fixed-width integers in a stated byte order.
#pragma once

#include <cstddef>
#include <cstdint>
#include <cstring>
#include <span>
#include <string>
#include <type_traits>
#include <vector>

namespace proofdrive {

enum class ByteOrder { kLittle, kBig };

using ByteSpan = std::span<const std::uint8_t>;

inline ByteSpan AsBytes(const std::string& text) {
  return {reinterpret_cast<const std::uint8_t*>(text.data()), text.size()};
}

// Appends integers to a byte vector that the caller owns and keeps alive.
class ByteWriter {
 public:
  explicit ByteWriter(std::vector<std::uint8_t>& out, ByteOrder order = ByteOrder::kLittle)
      : out_(out), order_(order) {}

  template <class Unsigned>
  void Put(Unsigned value) {
    static_assert(std::is_unsigned_v<Unsigned>);
    for (std::size_t i = 0; i < sizeof(Unsigned); ++i) {
      const std::size_t byte = order_ == ByteOrder::kLittle ? i : sizeof(Unsigned) - 1 - i;
      out_.push_back(static_cast<std::uint8_t>((value >> (8 * byte)) & 0xFF));
    }
  }
  void PutBytes(ByteSpan bytes) { out_.insert(out_.end(), bytes.begin(), bytes.end()); }
  // Appends zero bytes until the size is a multiple of `alignment`.
  void Pad(std::size_t alignment) {
    while (out_.size() % alignment != 0) out_.push_back(0);
  }

 private:
  std::vector<std::uint8_t>& out_;
  ByteOrder order_;
};

// Reads integers from untrusted bytes. After the first read past the end every further read
// returns zero and ok() is false, so that a parser can read a record and check once.
class ByteReader {
 public:
  explicit ByteReader(ByteSpan bytes, ByteOrder order = ByteOrder::kLittle)
      : bytes_(bytes), order_(order) {}

  template <class Unsigned>
  Unsigned Get() {
    static_assert(std::is_unsigned_v<Unsigned>);
    const ByteSpan part = GetBytes(sizeof(Unsigned));
    std::uint64_t value = 0;
    for (std::size_t i = 0; i < part.size(); ++i) {
      const std::size_t at = order_ == ByteOrder::kBig ? i : part.size() - 1 - i;
      value = (value << 8) | part[at];
    }
    return static_cast<Unsigned>(value);
  }
  // An empty span when fewer than `count` bytes are left.
  ByteSpan GetBytes(std::size_t count) {
    if (count > bytes_.size() - position_) {
      ok_ = false;
      position_ = bytes_.size();
      return {};
    }
    const ByteSpan part = bytes_.subspan(position_, count);
    position_ += count;
    return part;
  }
  void Skip(std::size_t count) { (void)GetBytes(count); }

  bool ok() const { return ok_; }
  std::size_t position() const { return position_; }
  std::size_t remaining() const { return bytes_.size() - position_; }

 private:
  ByteSpan bytes_;
  ByteOrder order_;
  std::size_t position_ = 0;
  bool ok_ = true;
};

}  // namespace proofdrive
