// What one session shows about definitions: does each frame and signal look as it is described?
#pragma once

#include <array>
#include <cstdint>
#include <limits>
#include <map>
#include <memory>
#include <vector>

#include "analysis/findings/session_findings.h"
#include "core/base/result.h"
#include "session/reader.h"

namespace proofdrive::analysis {

// Counts of one defined frame.
struct FrameFit {
  std::uint64_t frames = 0;
  std::uint64_t decoded = 0;          // long enough, and the checksum holds
  std::uint64_t too_short = 0;        // shorter than `needed`
  std::uint64_t wrong_length = 0;     // differs from the length stated
  std::uint64_t checksum_faults = 0;  // values not used
  std::uint64_t counter_faults = 0;   // among the frames whose checksum holds
  // What the checksum was put to the test with: different contents of the bytes it covers, for
  // which it was right. Counted up to kContentsCounted.
  std::size_t checksum_contents = 0;
  std::uint64_t counter_steps = 0;  // frames whose counter had one before it to follow
  std::size_t needed = 0;           // bytes up to the last one any value outside a page uses
  std::map<std::uint8_t, std::uint64_t> lengths;  // data length -> frames
  // Of the identifier and channel with the most frames; zero with fewer than two.
  Duration median_period{0};
  std::uint64_t period_frames = 0;  // how many frames that median is of
};

// Counts of one signal. A series counts all its elements together.
struct SignalFit {
  std::uint64_t values = 0;        // in all: valid, absent and out of range
  std::uint64_t absent = 0;        // of them
  std::uint64_t out_of_range = 0;  // of them
  // Frames of its page that end before it; only of signals and series in pages. Those of other
  // signals are in FrameFit.
  std::uint64_t too_short = 0;
  // Of the values that are not absent; lowest > highest when there are none.
  double lowest = std::numeric_limits<double>::infinity();
  double highest = -std::numeric_limits<double>::infinity();
  bool changes = false;  // some element had two different raw values
  // Valid values of an enumeration (states, and nothing that says it is a number) without a name;
  // `unnamed` keeps the first different ones only.
  std::uint64_t unnamed_values = 0;
  std::map<std::int64_t, std::uint64_t> unnamed;
};

inline constexpr std::size_t kContentsCounted = 1000;

struct SessionFit {
  std::shared_ptr<const decoders::Definitions> definitions;
  session::Header header;
  std::uint64_t frames = 0;
  Duration length{0};              // session time of the last frame
  std::vector<FrameFit> defined;   // one per Definitions::frames
  std::vector<SignalFit> signals;  // one per Definitions::signals
  // Data frames without a definition, most frequent first. What control units are asked and answer
  // is not among them.
  std::vector<StreamTraffic> not_described;
  std::array<std::uint64_t, 256> channel_frames{};
};

// Decodes the whole session once. REQUIRES: `definitions` is not null.
Result<SessionFit> MeasureFit(session::Reader& reader,
                              const std::shared_ptr<const decoders::Definitions>& definitions);

}  // namespace proofdrive::analysis
