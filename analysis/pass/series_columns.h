// Signals that the frames of one stream give by themselves, block by block: each in a tight loop,
// without reading the streams of others.
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <vector>

#include "analysis/pass/series.h"
#include "analysis/pass/stream_clock.h"
#include "decoders/columns/stream_rows.h"
#include "decoders/model/definitions.h"
#include "decoders/signals/frame_index.h"
#include "session/reader.h"

namespace proofdrive::analysis {

class SeriesColumns {
 public:
  // `chosen`: one per signal. Those that need other frames in their order are passed over.
  SeriesColumns(const session::Reader& reader,
                std::shared_ptr<const decoders::Definitions> definitions,
                const std::vector<bool>& chosen);

  // Whether a signal can be read this way.
  bool CanRead(std::uint32_t signal) const { return decoder_.HasColumn(signal); }
  // The streams that have the chosen signals, sorted.
  const std::vector<StreamKey>& streams() const { return keys_; }

  // Every element of the chosen signals that has a value in this block, in the order of definition
  // of frames and signals.
  void Visit(const session::FrameBlock& block, StreamClock& clock,
             const std::function<void(const Series&)>& visit);

 private:
  // One stream of a frame: placed in time, ready to be decoded.
  struct Stream {
    const session::BlockStream* block = nullptr;
    std::vector<Duration> at;
    std::unique_ptr<decoders::StreamRows> rows;
  };
  struct ChosenFrame {
    std::uint32_t frame = 0;  // index into Definitions::frames
    std::vector<std::uint32_t> signals;
    std::vector<Stream> streams;  // of the block at hand; the first `used` of them
    std::size_t used = 0;
  };

  void TakeStreams(const session::FrameBlock& block, StreamClock& clock);
  void Read(const ChosenFrame& frame, std::uint32_t signal, std::uint32_t element);
  void Append(const Stream& stream);

  decoders::ColumnDecoder decoder_;
  decoders::FrameIndex index_;
  std::vector<ChosenFrame> frames_;
  std::vector<int> chosen_frame_;  // by frame, index into frames_ or -1
  std::vector<StreamKey> keys_;
  decoders::ElementColumn values_;  // kept to save memory from being given back
  Series series_;
};

}  // namespace proofdrive::analysis
