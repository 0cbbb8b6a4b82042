// Session time of the frames of single streams, read without the others.
//
// Like SessionTimeline, with one difference: a frame that arrived behind a later one of another
// channel keeps its own time instead of that of the later one; that moves it by some tens of
// milliseconds at most. Times of one stream never go backward.
#pragma once

#include <cstdint>
#include <map>
#include <vector>

#include "core/base/result.h"
#include "core/frame/frame.h"
#include "session/reader.h"

namespace proofdrive::analysis {

// A clock that was set back is rare, and needs the order in which the frames of all streams came:
// all of them are then read once more. It is looked for where it would show: in the events of the
// session, in the busiest stream of each channel and in the streams that are placed. A step that
// none of them shows goes unnoticed: it falls in a silence of all of these streams that is longer
// than the step, and was not seen by the recorder.
class StreamClock {
 public:
  // `reader` must outlive this.
  explicit StreamClock(session::Reader& reader);

  // The busiest stream of each channel: to be read with those that are wanted.
  const std::vector<StreamKey>& watched() const { return watched_; }
  // With every block, in their order, before its streams are placed. Errors are those of reading.
  Status Look(const session::FrameBlock& block);
  // Session time of every row of a stream of that block, in `at`.
  void Place(const session::FrameBlock& block, const session::BlockStream& stream,
             std::vector<Duration>& at);

 private:
  // From this row of a block on, and in all later blocks.
  struct ShiftFrom {
    std::uint64_t block = 0;  // FrameBlock::done
    std::uint64_t row = 0;
    Duration shift{0};
  };
  // One stream between two blocks.
  struct Placed {
    Duration last{0};
    Duration shift{0};
    std::size_t next = 0;  // of its ShiftFroms
  };

  bool GoesBack(const session::BlockStream& stream);
  Status FindShifts();
  void TakeAlone(const session::FrameBlock& block);
  void Note(const StreamKey& key, ShiftFrom from);

  session::Reader& reader_;
  const std::int64_t start_ns_;
  std::vector<StreamKey> watched_;
  bool stepped_ = false;
  std::map<StreamKey, std::int64_t> last_ns_;  // while no step was seen
  std::map<StreamKey, Placed> placed_;
  std::map<StreamKey, std::vector<ShiftFrom>> shifts_;  // when stepped_
};

}  // namespace proofdrive::analysis
