// Session time of the frames of one stream, read without the others.
//
// Like SessionTimeline, with one difference: a frame that arrived behind a later one of another
// channel keeps its own time instead of that of the later one; that moves it by some tens of
// milliseconds at most. Times of one stream never go backward.
#pragma once

#include <cstdint>
#include <map>
#include <span>
#include <vector>

#include "core/base/result.h"
#include "core/frame/frame.h"
#include "session/reader.h"

namespace proofdrive::analysis {

// A clock that was set back is rare, and needs the order in which the frames of all streams came:
// all of them are then read once. It is looked for where it would show: in the events of the
// session, in the busiest stream of each channel and in the streams that are placed. A step that
// none of them shows goes unnoticed: it falls in a silence of all of these streams that is longer
// than the step, and was not seen by the recorder.
class SessionClock {
 public:
  // `reader` must outlive this.
  explicit SessionClock(session::Reader& reader) : reader_(reader) {}

  // Session time of every row of the stream. Errors are those of reading.
  Result<std::vector<Duration>> Place(const session::Column& column);

 private:
  // From this row of its stream on.
  struct ShiftFrom {
    std::uint64_t row = 0;
    Duration shift{0};
  };
  // Over all frames of one stream.
  struct StreamShifts {
    std::uint64_t rows = 0;
    std::vector<ShiftFrom> from;
  };

  Status LookForSteps();
  Status FindShifts();
  std::vector<ShiftFrom> ShiftsOf(const session::Column& column) const;

  session::Reader& reader_;
  bool looked_ = false;
  bool stepped_ = false;
  WallTime start_;
  std::map<StreamKey, StreamShifts> streams_;  // when stepped_
};

}  // namespace proofdrive::analysis
