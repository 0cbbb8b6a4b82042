// One read of a session for everything that is asked of it.
//
//   Pass pass(reader, set.definitions);
//   FindingsTaker findings(reader, set, {});   // every frame in its order
//   CheckTaker checks(reader, set, settings);  // the signals with a role, as columns
//   pass.Add(findings);
//   pass.Add(checks);
//   RETURN_IF_ERROR(pass.Run());
//
// A consumer says what it needs and gets no more: frames in the exact order of arrival with what
// was decoded from them, or chosen signals as columns (series.h), one stretch of time after the
// other. Only what somebody needs is read: when nobody wants frames or signals that depend on their
// order, the other streams are not even decompressed. A consumer that has enough is left alone, and
// the reading ends with the last one. What comes next is decoded by other threads. Consumers of
// frames are called on the thread that runs the pass, consumers of signals one after the other on
// this or another one; never are two called for the same consumer at once.
//
// Memory: some blocks of a session (session::Reader), whatever its length; what a consumer keeps is
// its own affair. A damaged session gives what can be read; see session::Reader::losses().
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <vector>

#include "analysis/pass/ordered_series.h"
#include "analysis/pass/series.h"
#include "analysis/pass/series_columns.h"
#include "analysis/pass/stream_clock.h"
#include "analysis/session/session_timeline.h"
#include "core/base/result.h"
#include "decoders/model/definitions.h"
#include "decoders/signals/decoder.h"
#include "session/reader.h"

namespace proofdrive::analysis {

// One frame and what was decoded from it; Value::time is the time of the frame.
struct DecodedFrame {
  const Frame& frame;
  Duration at;     // session time, not less than that of the frame before
  int definition;  // index into Definitions::frames, -1: not described
  std::span<const decoders::Value> values;
};

// Wants every frame in the order of arrival.
class FrameConsumer {
 public:
  virtual ~FrameConsumer() = default;
  // False: it has enough.
  virtual bool OnFrame(const DecodedFrame& frame) = 0;
};

// Wants chosen signals as columns.
class SeriesConsumer {
 public:
  virtual ~SeriesConsumer() = default;
  // Indices into Definitions::signals; twice is once.
  virtual std::vector<std::uint32_t> Signals() const = 0;
  // A part of one element, at least one value, in order of session time. Parts of the same element
  // follow each other; those of streams that bring the same signal may overlap by what frames of
  // different channels arrive late. Within a stretch first the signals that streams alone give, in
  // the order of definition of frames and signals, then the others (SignalOrder).
  virtual void OnSeries(const Series& part) = 0;
  // All signals were given up to here. False: it has enough.
  virtual bool OnEndOfStretch() { return true; }
};

class Pass {
 public:
  using Progress = std::function<void(std::uint64_t done, std::uint64_t all)>;

  // `definitions`: null = none, nothing is decoded. `reader` must outlive this.
  Pass(session::Reader& reader, std::shared_ptr<const decoders::Definitions> definitions);

  // Before Run; they must outlive it. A SeriesConsumer REQUIRES definitions.
  void Add(FrameConsumer& consumer) { frames_.push_back(&consumer); }
  void Add(SeriesConsumer& consumer) { series_.push_back(&consumer); }

  // Once. `progress` is told now and then how many frames of how many are done. Errors are those of
  // reading.
  Status Run(const Progress& progress = {});

  // Null without definitions, and when frames were not decoded in their order.
  const decoders::Decoder* decoder() const { return decoder_.get(); }
  // Where the clock of a channel was set back; only when somebody wanted frames.
  const std::vector<ClockStep>& clock_steps() const { return timeline_.steps(); }

 private:
  struct Listener {
    SeriesConsumer* consumer = nullptr;
    std::vector<bool> chosen;  // per signal
  };

  session::BlockRequest Prepare();
  void ChooseSignals();
  Status OnBlock(const session::FrameBlock& block);
  bool OnFrame(const Frame& frame);
  void Give(const Series& series);
  bool AnyListens() const { return !frames_.empty() || !listeners_.empty(); }

  session::Reader& reader_;
  std::shared_ptr<const decoders::Definitions> definitions_;
  std::vector<FrameConsumer*> frames_;
  std::vector<SeriesConsumer*> series_;
  std::vector<Listener> listeners_;
  StreamClock clock_;
  std::optional<SeriesColumns> columns_;  // somebody wants signals
  std::optional<OrderedSeries> ordered_;  // among them some that need the order
  std::unique_ptr<decoders::Decoder> decoder_;
  SessionTimeline timeline_;
  std::vector<decoders::Value> values_;  // of one frame
};

// The place of each signal in the order in which a SeriesConsumer gets them.
std::vector<std::uint32_t> SignalOrder(
    const std::shared_ptr<const decoders::Definitions>& definitions);

}  // namespace proofdrive::analysis
