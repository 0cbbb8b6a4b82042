// The order in which the frames of a chunk arrived, as one stream number per frame.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "core/base/bytes.h"
#include "core/base/result.h"
#include "session/model/layout.h"

namespace proofdrive::session {

struct Order {
  OrderCoding coding = OrderCoding::kStreamNumbers;
  std::vector<std::uint8_t> bytes;
};

// The times (in any unit) of every stream's frames, in their order of arrival.
using StreamTimes = std::vector<std::span<const std::int64_t>>;

// Working memory that is worth keeping from chunk to chunk.
struct OrderBuffers {
  std::vector<std::uint32_t> order;  // the result: the stream of every frame
  std::vector<std::uint64_t> entries;
  std::vector<std::uint64_t> other;
  std::vector<std::uint32_t> places;
};

// The stream of every frame sorted by time; equal times by number of stream.
void SortByTime(const StreamTimes& times, OrderBuffers& buffers);

// When frames arrived nearly sorted by time, only the differences are stored: pairs of varints (how
// many positions further, how far from behind the right frame is moved here). Else the stream
// numbers themselves as byte planes.
Order EncodeOrder(std::span<const std::uint32_t> arrival, const StreamTimes& times);

// The inverse, into buffers.order. kCorrupt when the bytes do not describe an order of exactly
// these frames.
Status DecodeOrder(OrderCoding coding, ByteSpan bytes, const StreamTimes& times,
                   OrderBuffers& buffers);

}  // namespace proofdrive::session
