// Hands out the frames of decoded chunks, in order of arrival, some at a time.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <span>
#include <vector>

#include "core/frame/frame.h"
#include "session/chunk/chunk_decoder.h"

namespace proofdrive::session {

using BatchVisitor = std::function<bool(std::span<const Frame>)>;

// Keeps its working memory from one chunk to the next. One thread at a time.
class FrameBatches {
 public:
  // Calls `visit` with all frames until it returns false, which is the result.
  // REQUIRES: times of `chunk` are in nanoseconds.
  bool HandOut(const ChunkFrames& chunk, const BatchVisitor& visit);

 private:
  static constexpr std::size_t kHeadBytes = offsetof(Frame, data);
  // One stream while its frames are handed out.
  struct Cursor {
    std::array<std::uint8_t, kHeadBytes> head{};  // of a Frame, the time still to be filled in
    const std::int64_t* time = nullptr;
    const std::uint8_t* bytes = nullptr;
    std::size_t stride = 0;
  };
  // Few enough to stay in the nearest cache beside the cursors.
  static constexpr std::size_t kFrames = 128;

  void StartCursors(const ChunkFrames& chunk);
  void Fill(Cursor& cursor, std::size_t number);
  void ClearUnused(std::size_t number, std::size_t stride);

  std::vector<Cursor> cursors_;
  std::array<Frame, kFrames> frames_;
  std::array<std::uint8_t, kFrames> used_{};  // data bytes of frames_ that may not be zero
};

}  // namespace proofdrive::session
