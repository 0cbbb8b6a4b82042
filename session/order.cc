#include "session/order.h"

#include <algorithm>
#include <array>
#include <bit>
#include <limits>
#include <utility>

#include "session/planes.h"

namespace proofdrive::session {
namespace {

// Frames further from their place in time than this make plain stream numbers the better choice.
constexpr std::size_t kMaxDistance = 64;
constexpr unsigned kMaxDigitBits = 13;

std::size_t CountFrames(const StreamTimes& times) {
  std::size_t count = 0;
  for (const auto& column : times) count += column.size();
  return count;
}

struct TimeRange {
  std::int64_t least = std::numeric_limits<std::int64_t>::max();
  std::int64_t most = std::numeric_limits<std::int64_t>::min();
  std::uint64_t width() const {
    return static_cast<std::uint64_t>(most) - static_cast<std::uint64_t>(least);
  }
};

TimeRange RangeOf(const StreamTimes& times) {
  TimeRange range;
  for (const auto& column : times) {
    for (const std::int64_t time : column) {
      range.least = std::min(range.least, time);
      range.most = std::max(range.most, time);
    }
  }
  return range;
}

// Sorts by `bits` bits from bit `shift` on, keeping the order of equal keys.
void SortByDigit(const std::vector<std::uint64_t>& from, std::vector<std::uint64_t>& to,
                 unsigned shift, unsigned bits) {
  const std::uint64_t mask = (std::uint64_t{1} << bits) - 1;
  std::array<std::uint32_t, std::size_t{1} << kMaxDigitBits> place{};
  for (const std::uint64_t entry : from) ++place[(entry >> shift) & mask];
  std::uint32_t sum = 0;
  for (std::uint32_t& start : place) {
    const std::uint32_t count = start;
    start = sum;
    sum += count;
  }
  for (const std::uint64_t entry : from) to[place[(entry >> shift) & mask]++] = entry;
}

// Time and number of the stream in one word, time above: sorted digit by digit, without comparing.
void SortPacked(const StreamTimes& times, const TimeRange& range, unsigned stream_bits,
                OrderBuffers& buffers) {
  std::vector<std::uint64_t>& entries = buffers.entries;
  entries.clear();
  for (std::uint64_t stream = 0; stream < times.size(); ++stream) {
    for (const std::int64_t time : times[stream]) {
      const auto key = static_cast<std::uint64_t>(time) - static_cast<std::uint64_t>(range.least);
      entries.push_back(key << stream_bits | stream);
    }
  }
  buffers.other.resize(entries.size());
  const auto time_bits = static_cast<unsigned>(std::bit_width(range.width()));
  const unsigned digits = (time_bits + kMaxDigitBits - 1) / kMaxDigitBits;
  for (unsigned digit = 0; digit < digits; ++digit) {
    const unsigned bits = (time_bits + digits - 1) / digits;
    SortByDigit(entries, buffers.other, stream_bits + digit * bits, bits);
    entries.swap(buffers.other);
  }
  const std::uint64_t mask = (std::uint64_t{1} << stream_bits) - 1;
  buffers.order.clear();
  for (const std::uint64_t entry : entries) {
    buffers.order.push_back(static_cast<std::uint32_t>(entry & mask));
  }
}

// Times too far apart for one word, as after a step of the clock by years.
void SortWide(const StreamTimes& times, OrderBuffers& buffers) {
  std::vector<std::pair<std::int64_t, std::uint32_t>> entries;
  for (std::uint32_t stream = 0; stream < times.size(); ++stream) {
    for (const std::int64_t time : times[stream]) entries.emplace_back(time, stream);
  }
  std::sort(entries.begin(), entries.end());
  buffers.order.clear();
  for (const auto& [time, stream] : entries) buffers.order.push_back(stream);
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

Status ApplyMoves(ByteSpan bytes, std::vector<std::uint32_t>& order) {
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
  return Status::Ok();
}

Status ReadNumbers(ByteSpan bytes, const StreamTimes& times, OrderBuffers& buffers) {
  const std::size_t planes = PlanesFor(times.size());
  std::vector<std::uint64_t>& numbers = buffers.entries;
  numbers.resize(CountFrames(times));
  if (bytes.size() != numbers.size() * planes) {
    return Status(ErrorKind::kCorrupt, "the order column has the wrong size");
  }
  FromBytePlanes(bytes, planes, numbers);
  buffers.order.clear();
  std::vector<std::size_t> seen(times.size());
  for (const std::uint64_t number : numbers) {
    if (number >= times.size() || ++seen[number] > times[number].size()) {
      return Status(ErrorKind::kCorrupt, "the order column names a stream that has no more frames");
    }
    buffers.order.push_back(static_cast<std::uint32_t>(number));
  }
  return Status::Ok();
}

}  // namespace

void SortByTime(const StreamTimes& times, OrderBuffers& buffers) {
  const TimeRange range = RangeOf(times);
  const auto stream_bits = static_cast<unsigned>(std::bit_width(times.size()));
  const bool narrow =
      static_cast<unsigned>(std::bit_width(range.width())) + stream_bits + kMaxDigitBits <= 64;
  narrow ? SortPacked(times, range, stream_bits, buffers) : SortWide(times, buffers);
}

Order EncodeOrder(std::span<const std::uint32_t> arrival, const StreamTimes& times) {
  Order order{OrderCoding::kSortedByTime, {}};
  OrderBuffers buffers;
  SortByTime(times, buffers);
  if (EncodeMoves(arrival, std::move(buffers.order), order.bytes)) return order;
  const std::vector<std::uint64_t> numbers(arrival.begin(), arrival.end());
  return {OrderCoding::kStreamNumbers, ToBytePlanes(numbers, PlanesFor(times.size()))};
}

Status DecodeOrder(OrderCoding coding, ByteSpan bytes, const StreamTimes& times,
                   OrderBuffers& buffers) {
  switch (coding) {
    case OrderCoding::kSortedByTime:
      SortByTime(times, buffers);
      return ApplyMoves(bytes, buffers.order);
    case OrderCoding::kStreamNumbers:
      return ReadNumbers(bytes, times, buffers);
  }
  return Status(ErrorKind::kCorrupt, "the order column has an unknown form");
}

}  // namespace proofdrive::session
