#include "session/chunk/frame_columns.h"

#include <algorithm>
#include <map>
#include <vector>

namespace proofdrive::session {
namespace {

// The places of the frames of each stream.
using Places = std::map<StreamKey, std::vector<std::size_t>>;

void Append(std::span<const Frame> frames, const std::vector<std::size_t>& places,
            ChunkFrames& chunk) {
  const auto number = static_cast<std::uint32_t>(chunk.streams.size());
  chunk.streams.push_back(
      {KeyOf(frames[places[0]]), chunk.times.size(), chunk.bytes.size(), places.size()});
  for (const std::size_t place : places) {
    const ByteSpan payload = frames[place].payload();
    chunk.times.push_back(ToNanoseconds(frames[place].time));
    chunk.bytes.insert(chunk.bytes.end(), payload.begin(), payload.end());
    if (!chunk.order.empty()) chunk.order[place] = number;
  }
}

}  // namespace

ChunkFrames ColumnsOf(std::span<const Frame> frames, bool all,
                      const std::function<bool(const StreamKey&)>& wanted) {
  Places places;
  for (std::size_t i = 0; i < frames.size(); ++i) {
    const StreamKey key = KeyOf(frames[i]);
    if (all || wanted(key)) places[key].push_back(i);
  }
  ChunkFrames chunk;
  if (all) chunk.order.resize(frames.size());
  for (const auto& [key, list] : places) Append(frames, list, chunk);
  return chunk;
}

}  // namespace proofdrive::session
