// One pass over a session: definitions, decoding, warnings and traffic together.
//
// Time. Frames are taken in the order of arrival. Within a channel that is the order of time;
// across channels a frame may be late by some tens of milliseconds, and then counts as if it had
// come with the frame before it. When the clock of a channel steps backward, the evaluation goes on
// from where it was, as if no time had passed at the step (see SessionTimeline). A forward step
// cannot be told from silence and is taken as silence.
#pragma once

#include <functional>
#include <memory>
#include <span>
#include <vector>

#include "analysis/asking/asked.h"
#include "analysis/findings/session_findings.h"
#include "analysis/pass/pass.h"
#include "analysis/session/definition_set.h"
#include "core/base/files.h"
#include "core/base/result.h"
#include "decoders/signals/decoder.h"
#include "decoders/signals/value.h"
#include "session/reader.h"

namespace proofdrive::analysis {

// Called for every frame with the values decoded from it. Return false to stop.
using FrameVisitor = std::function<bool(const DecodedFrame& frame)>;

// Decodes all frames without judging anything. Value::time stays the time of the frame. Counts of
// faults go to `faults` when it is not null.
Status DecodeSession(session::Reader& reader, const DefinitionSet& set, const FrameVisitor& visit,
                     std::vector<decoders::FrameFaults>* faults = nullptr);

struct FindingsOptions {
  // Most points of a curve per signal, even; 0 = no curves.
  std::size_t curve_points = 0;
  // Signals as windows: what two sessions are compared by.
  bool windows = true;
  // Nothing of traffic and signals either: what warnings say of a session.
  bool warnings_only = false;
  // Told now and then how many frames of how many are done.
  std::function<void(std::uint64_t done, std::uint64_t all)> progress;
};

// Gathers what FindingsOf gives, in a pass that may have other consumers.
class FindingsTaker : public FrameConsumer {
 public:
  // `reader` must outlive this.
  FindingsTaker(const session::Reader& reader, const DefinitionSet& set,
                const FindingsOptions& options);
  ~FindingsTaker() override;

  bool OnFrame(const DecodedFrame& frame) override;
  // Once, after `pass` has run.
  SessionFindings Finish(const Pass& pass);

 private:
  class Gathered;
  const session::Reader& reader_;
  SessionFindings findings_;
  std::unique_ptr<Gathered> gathered_;
  std::unique_ptr<AskedListener> asked_;
};

// Everything a comparison needs from one session. Without definitions: traffic only.
Result<SessionFindings> FindingsOf(session::Reader& reader, const DefinitionSet& set,
                                   const FindingsOptions& options = {});

}  // namespace proofdrive::analysis
