// The definitions a session is read with, and where they came from.
#pragma once

#include <memory>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/files.h"
#include "decoders/authoring/diagnostics.h"
#include "decoders/model/definitions.h"
#include "decoders/signals/decoder.h"
#include "session/model/header.h"

namespace proofdrive::analysis {

// Where the definitions that were used came from.
enum class DefinitionOrigin {
  kNone,          // there are none: frames cannot be decoded
  kGiven,         // files named by the user
  kStored,        // texts stored with this session
  kOtherSession,  // texts stored with the session it is compared with
};
// "none", "given", "stored", "other session".
std::string_view DefinitionOriginName(DefinitionOrigin origin);

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

}  // namespace proofdrive::analysis
