// From frames in order of arrival to the columns of their streams: what a journal holds, as a
// chunk.
#pragma once

#include <functional>
#include <span>

#include "core/frame/frame.h"
#include "session/chunk/chunk_decoder.h"

namespace proofdrive::session {

// Times in nanoseconds. Of the streams that are `wanted`; with all of them also the order.
ChunkFrames ColumnsOf(std::span<const Frame> frames, bool all,
                      const std::function<bool(const StreamKey&)>& wanted);

}  // namespace proofdrive::session
