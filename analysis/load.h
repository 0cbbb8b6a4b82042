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
#include <string>
#include <vector>

#include "analysis/session_findings.h"
#include "core/base/files.h"
#include "core/base/result.h"
#include "decoders/language/loader.h"
#include "decoders/signals/decoder.h"
#include "decoders/signals/value.h"
#include "session/reader.h"

namespace proofdrive::analysis {

// Definitions and where they came from.
struct DefinitionSet {
  // Null when there are none, or when they have mistakes (see diagnostics).
  std::shared_ptr<const decoders::Definitions> definitions;
  DefinitionOrigin origin = DefinitionOrigin::kNone;
  std::vector<decoders::Diagnostic> diagnostics;
};

// The files `given`, else the texts stored in `header`, else an empty set.
DefinitionSet DefinitionsFor(Files& files, std::span<const std::string> given,
                             const session::Header& header);

// For two sessions that are compared, both are judged by one set: the files `given`, else the texts
// stored in `after` (the newer ones), else those in `before`.
struct ComparisonDefinitions {
  DefinitionSet for_before;
  DefinitionSet for_after;  // the same definitions; only the origin differs
  // Warnings that only the texts stored in `before` have: nothing else may be said about them.
  std::vector<decoders::Warning> only_stored_before;
};
ComparisonDefinitions DefinitionsForComparison(Files& files, std::span<const std::string> given,
                                               const session::Header& before,
                                               const session::Header& after);

// Which bus each channel is.
std::vector<decoders::ChannelBus> ChannelBuses(const session::Header& header);

// Called for every frame with the values decoded from it; `since_start` is session time. Return
// false to stop.
using FrameVisitor =
    std::function<bool(const Frame& frame, Duration since_start, int frame_definition,
                       std::span<const decoders::Value> values)>;

// Decodes all frames without judging anything. Value::time stays the time of the frame. Counts of
// faults go to `faults` when it is not null.
Status DecodeSession(session::Reader& reader, const DefinitionSet& set, const FrameVisitor& visit,
                     std::vector<decoders::FrameFaults>* faults = nullptr);

struct FindingsOptions {
  // Most points of a curve per signal, even; 0 = no curves.
  std::size_t curve_points = 0;
  // Told now and then how many frames of how many are done.
  std::function<void(std::uint64_t done, std::uint64_t all)> progress;
};

// Everything a comparison needs from one session. Without definitions: traffic only.
Result<SessionFindings> FindingsOf(session::Reader& reader, const DefinitionSet& set,
                                   const FindingsOptions& options = {});

}  // namespace proofdrive::analysis
