#include "session/order.h"

#include <algorithm>
#include <array>
#include <bit>
#include <limits>

#include "session/planes.h"

namespace proofdrive::session {
namespace {

// Frames further from their place in time than this make plain stream numbers the better choice.
constexpr std::size_t kMaxDistance = 64;
constexpr unsigned kDigitBits = 11;
constexpr std::size_t kDigits = std::size_t{1} << kDigitBits;

struct Entry {
  std::uint64_t key;
  std::uint32_t stream;
};

std::size_t CountFrames(const StreamTimes& times) {
  std::size_t count = 0;
  for (const auto& column : times) count += column.size();
  return count;
}

std::vector<Entry> Entries(const StreamTimes& times) {
  std::int64_t least = std::numeric_limits<std::int64_t>::max();
  for (const auto& column : times) {
    for (const std::int64_t time : column) least = std::min(least, time);
  }
  std::vector<Entry> entries;
  entries.reserve(CountFrames(times));
  for (std::uint32_t stream = 0; stream < times.size(); ++stream) {
    for (const std::int64_t time : times[stream]) {
      entries.push_back(
          {static_cast<std::uint64_t>(time) - static_cast<std::uint64_t>(least), stream});
    }
  }
  return entries;
}

void SortByDigit(const std::vector<Entry>& from, std::vector<Entry>& to, unsigned shift) {
  std::array<std::uint32_t, kDigits> place{};
  for (const Entry& entry : from) ++place[(entry.key >> shift) & (kDigits - 1)];
  std::uint32_t sum = 0;
  for (std::uint32_t& start : place) {
    const std::uint32_t count = start;
    start = sum;
    sum += count;
  }
  for (const Entry& entry : from) to[place[(entry.key >> shift) & (kDigits - 1)]++] = entry;
}

std::size_t PlanesFor(std::size_t streams) {
  return streams <= 1 ? 0 : static_cast<std::size_t>((std::bit_width(streams - 1) + 7) / 8);
}

void PutVarint(std::size_t value, std::vector<std::uint8_t>& out) {
  for (; value >= 0x80; value >>= 7) out.push_back(static_cast<std::uint8_t>(value | 0x80));
  out.push_back(static_cast<std::uint8_t>(value));
}

// Larger than any position when the bytes end or make no sense.
std::size_t GetVarint(ByteReader& reader) {
  std::size_t value = 0;
  for (unsigned shift = 0; shift < 28; shift += 7) {
    const auto byte = reader.Get<std::uint8_t>();
    value |= static_cast<std::size_t>(byte & 0x7F) << shift;
    if ((byte & 0x80) == 0) return reader.ok() ? value : kMaxFramesPerChunk;
  }
  return kMaxFramesPerChunk;
}

void MoveBack(std::vector<std::uint32_t>& order, std::size_t to, std::size_t distance) {
  const auto begin = order.begin() + static_cast<std::ptrdiff_t>(to);
  std::rotate(begin, begin + static_cast<std::ptrdiff_t>(distance),
              begin + static_cast<std::ptrdiff_t>(distance) + 1);
}

// False when the moves would take more room or time than the plain column.
bool EncodeMoves(std::span<const std::uint32_t> arrival, std::vector<std::uint32_t> sorted,
                 std::vector<std::uint8_t>& out) {
  std::size_t last = 0;
  for (std::size_t i = 0; i < arrival.size(); ++i) {
    if (sorted[i] == arrival[i]) continue;
    std::size_t distance = 1;
    while (distance <= kMaxDistance && i + distance < sorted.size() &&
           sorted[i + distance] != arrival[i]) {
      ++distance;
    }
    if (distance > kMaxDistance || i + distance >= sorted.size()) return false;
    PutVarint(i - last, out);
    PutVarint(distance, out);
    last = i;
    MoveBack(sorted, i, distance);
    if (out.size() > arrival.size() / 2) return false;
  }
  return true;
}

Result<std::vector<std::uint32_t>> ApplyMoves(ByteSpan bytes, const StreamTimes& times) {
  std::vector<std::uint32_t> order = SortByTime(times);
  ByteReader reader(bytes);
  std::size_t position = 0;
  while (reader.remaining() > 0) {
    position += GetVarint(reader);
    const std::size_t distance = GetVarint(reader);
    if (distance == 0 || distance > kMaxDistance || position + distance >= order.size()) {
      return Status(ErrorKind::kCorrupt, "the order column moves a frame out of the chunk");
    }
    MoveBack(order, position, distance);
  }
  return order;
}

Result<std::vector<std::uint32_t>> ReadNumbers(ByteSpan bytes, const StreamTimes& times) {
  const std::size_t planes = PlanesFor(times.size());
  std::vector<std::uint64_t> numbers(CountFrames(times));
  if (bytes.size() != numbers.size() * planes) {
    return Status(ErrorKind::kCorrupt, "the order column has the wrong size");
  }
  FromBytePlanes(bytes, planes, numbers);
  std::vector<std::uint32_t> order(numbers.size());
  std::vector<std::size_t> seen(times.size());
  for (std::size_t i = 0; i < numbers.size(); ++i) {
    if (numbers[i] >= times.size() || ++seen[numbers[i]] > times[numbers[i]].size()) {
      return Status(ErrorKind::kCorrupt, "the order column names a stream that has no more frames");
    }
    order[i] = static_cast<std::uint32_t>(numbers[i]);
  }
  return order;
}

}  // namespace

std::vector<std::uint32_t> SortByTime(const StreamTimes& times) {
  std::vector<Entry> entries = Entries(times);
  std::uint64_t all = 0;
  for (const Entry& entry : entries) all |= entry.key;
  std::vector<Entry> other(entries.size());
  for (unsigned shift = 0; shift < 64 && (all >> shift) != 0; shift += kDigitBits) {
    SortByDigit(entries, other, shift);
    entries.swap(other);
  }
  std::vector<std::uint32_t> order(entries.size());
  for (std::size_t i = 0; i < entries.size(); ++i) order[i] = entries[i].stream;
  return order;
}

Order EncodeOrder(std::span<const std::uint32_t> arrival, const StreamTimes& times) {
  Order order{OrderCoding::kSortedByTime, {}};
  if (EncodeMoves(arrival, SortByTime(times), order.bytes)) return order;
  const std::vector<std::uint64_t> numbers(arrival.begin(), arrival.end());
  return {OrderCoding::kStreamNumbers, ToBytePlanes(numbers, PlanesFor(times.size()))};
}

Result<std::vector<std::uint32_t>> DecodeOrder(OrderCoding coding, ByteSpan bytes,
                                               const StreamTimes& times) {
  switch (coding) {
    case OrderCoding::kSortedByTime:
      return ApplyMoves(bytes, times);
    case OrderCoding::kStreamNumbers:
      return ReadNumbers(bytes, times);
  }
  return Status(ErrorKind::kCorrupt, "the order column has an unknown form");
}

}  // namespace proofdrive::session
