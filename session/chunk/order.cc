#include "session/chunk/order.h"

#include <algorithm>
#include <array>
#include <bit>
#include <limits>
#include <utility>

#include "session/chunk/planes.h"
#include "session/file/wire.h"

namespace proofdrive::session {
namespace {

// Frames further from their place in time than this make plain stream numbers the better choice.
constexpr std::size_t kMaxDistance = 64;
constexpr unsigned kMaxDigitBits = 13;
// More frames than this in one narrow span of time are not sorted one by one.
constexpr std::uint32_t kMaxPerSpan = 32;

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

// Time since the first and number of the stream in one word, time above: sorting these sorts by
// time and, among equal times, by stream, without looking at anything else.
struct Packing {
  std::uint64_t least = 0;
  unsigned stream_bits = 0;
  unsigned time_bits = 0;

  std::uint64_t Pack(std::int64_t time, std::uint64_t stream) const {
    return (static_cast<std::uint64_t>(time) - least) << stream_bits | stream;
  }
};

// Calls visit(entry) with every frame, stream by stream.
template <class Visitor>
void ForEachEntry(const StreamTimes& times, const Packing& packing, Visitor visit) {
  for (std::uint64_t stream = 0; stream < times.size(); ++stream) {
    for (const std::int64_t time : times[stream]) visit(packing.Pack(time, stream));
  }
}

// Counts become the places where the entries of each kind begin. The largest count.
std::uint32_t CountsToPlaces(std::span<std::uint32_t> counts) {
  std::uint32_t sum = 0;
  std::uint32_t most = 0;
  for (std::uint32_t& place : counts) {
    const std::uint32_t count = place;
    most = std::max(most, count);
    place = sum;
    sum += count;
  }
  return most;
}

// Moves entries down until none is larger than the next. Fast when all are near their places.
void SortNearly(std::span<std::uint64_t> entries) {
  for (std::size_t i = 1; i < entries.size(); ++i) {
    const std::uint64_t entry = entries[i];
    std::size_t at = i;
    for (; at > 0 && entries[at - 1] > entry; --at) entries[at] = entries[at - 1];
    entries[at] = entry;
  }
}

// Frames on a bus are spread over time rather evenly: put each into one of many narrow spans of
// time, then sort within these. False when too many fall into one.
bool SortBySpans(const StreamTimes& times, const Packing& packing, OrderBuffers& buffers) {
  const std::size_t count = CountFrames(times);
  const auto span_bits = std::min(static_cast<unsigned>(std::bit_width(count)), packing.time_bits);
  const unsigned shift = packing.stream_bits + packing.time_bits - span_bits;
  buffers.places.assign(std::size_t{1} << span_bits, 0);
  ForEachEntry(times, packing, [&](std::uint64_t entry) { ++buffers.places[entry >> shift]; });
  if (CountsToPlaces(buffers.places) > kMaxPerSpan) return false;
  buffers.entries.resize(count);
  ForEachEntry(times, packing, [&](std::uint64_t entry) {
    buffers.entries[buffers.places[entry >> shift]++] = entry;
  });
  SortNearly(buffers.entries);
  return true;
}

// Sorts by `bits` bits from bit `shift` on, keeping the order of equal keys.
void SortByDigit(const std::vector<std::uint64_t>& from, std::vector<std::uint64_t>& to,
                 unsigned shift, unsigned bits) {
  const std::uint64_t mask = (std::uint64_t{1} << bits) - 1;
  std::array<std::uint32_t, std::size_t{1} << kMaxDigitBits> place{};
  for (const std::uint64_t entry : from) ++place[(entry >> shift) & mask];
  CountsToPlaces(place);
  for (const std::uint64_t entry : from) to[place[(entry >> shift) & mask]++] = entry;
}

// Whatever the times are like: digit by digit.
void SortByDigits(const StreamTimes& times, const Packing& packing, OrderBuffers& buffers) {
  std::vector<std::uint64_t>& entries = buffers.entries;
  entries.clear();
  ForEachEntry(times, packing, [&](std::uint64_t entry) { entries.push_back(entry); });
  buffers.other.resize(entries.size());
  const unsigned digits = (packing.time_bits + kMaxDigitBits - 1) / kMaxDigitBits;
  for (unsigned digit = 0; digit < digits; ++digit) {
    const unsigned bits = (packing.time_bits + digits - 1) / digits;
    SortByDigit(entries, buffers.other, packing.stream_bits + digit * bits, bits);
    entries.swap(buffers.other);
  }
}

void SortPacked(const StreamTimes& times, const Packing& packing, OrderBuffers& buffers) {
  if (!SortBySpans(times, packing, buffers)) SortByDigits(times, packing, buffers);
  const std::uint64_t mask = (std::uint64_t{1} << packing.stream_bits) - 1;
  buffers.order.resize(buffers.entries.size());
  for (std::size_t i = 0; i < buffers.entries.size(); ++i) {
    buffers.order[i] = static_cast<std::uint32_t>(buffers.entries[i] & mask);
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
    AppendVarint(i - last, out);
    AppendVarint(distance, out);
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
  const Packing packing{static_cast<std::uint64_t>(range.least),
                        static_cast<unsigned>(std::bit_width(times.size())),
                        static_cast<unsigned>(std::bit_width(range.width()))};
  const bool narrow = packing.time_bits + packing.stream_bits + kMaxDigitBits <= 64;
  narrow ? SortPacked(times, packing, buffers) : SortWide(times, buffers);
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
