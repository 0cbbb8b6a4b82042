#include "session/chunk/frame_batches.h"

#include <algorithm>
#include <cstring>
#include <type_traits>

#include "core/frame/frame.h"

namespace proofdrive::session {

void FrameBatches::StartCursors(const ChunkFrames& chunk) {
  cursors_.clear();
  for (const ChunkFrames::Stream& stream : chunk.streams) {
    Cursor cursor;
    const Frame frame = FrameOf(stream.key);
    std::memcpy(cursor.head.data(), &frame, kHeadBytes);
    cursor.time = chunk.times.data() + stream.first_row;
    cursor.bytes = chunk.bytes.data() + stream.first_byte;
    cursor.stride = StrideOf(stream.key);
    cursors_.push_back(cursor);
  }
}

// Only what differs from the frame that was there before is written: 24 bytes for a classic frame.
void FrameBatches::Fill(Cursor& cursor, std::size_t number) {
  static_assert(std::is_trivially_copyable_v<Frame>);
  Frame& frame = frames_[number];
  std::memcpy(static_cast<void*>(&frame), cursor.head.data(), kHeadBytes);
  frame.time = WallFromNanoseconds(*cursor.time++);
  if (cursor.stride == 8) {  // nearly always: a copy the compiler knows the size of
    std::memcpy(frame.data.data(), cursor.bytes, 8);
  } else if (cursor.stride > 0) {
    std::copy_n(cursor.bytes, cursor.stride, frame.data.data());
  }
  cursor.bytes += cursor.stride;
  if (used_[number] != cursor.stride) ClearUnused(number, cursor.stride);
}

void FrameBatches::ClearUnused(std::size_t number, std::size_t stride) {
  std::array<std::uint8_t, kMaxFdLength>& data = frames_[number].data;
  if (stride < used_[number]) {
    std::fill(data.begin() + static_cast<std::ptrdiff_t>(stride), data.begin() + used_[number], 0);
  }
  used_[number] = static_cast<std::uint8_t>(stride);
}

bool FrameBatches::HandOut(const ChunkFrames& chunk, const BatchVisitor& visit) {
  StartCursors(chunk);
  std::span<const std::uint32_t> order = chunk.order;
  while (!order.empty()) {
    const std::size_t count = std::min(order.size(), kFrames);
    for (std::size_t i = 0; i < count; ++i) Fill(cursors_[order[i]], i);
    if (!visit({frames_.data(), count})) return false;
    order = order.subspan(count);
  }
  return true;
}

}  // namespace proofdrive::session
