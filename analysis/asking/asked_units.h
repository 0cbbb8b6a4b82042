// What anybody asked control units while a session was recorded, and what they answered. Plain
// values.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "analysis/asking/code_rounds.h"
#include "core/base/time.h"
#include "decoders/services/unit_reports.h"
#include "session/model/header.h"

namespace proofdrive::analysis {

struct AskedUnits {
  session::Header header;
  WallTime start;  // of the first frame
  Duration length{0};
  decoders::ConversationCounts counts;
  std::map<std::string, decoders::RequestCount> requests;  // by request in words
  std::vector<decoders::UnitReport> units;                 // in order of channel and identifier
  std::vector<std::string> silent;  // named units that were asked and never answered
  std::uint64_t unasked = 0;        // answers to which no request was recorded
  std::uint64_t stray_frames = 0;   // on identifiers of requests, but no part of a message
  // Frames that look like requests on identifiers nobody answers for: taken for other traffic.
  std::uint64_t doubtful = 0;
  CodesHeard codes;  // over time; empty for what the daemon has just asked

  // Some unit gave a list of its codes: without one nothing can be said about codes.
  bool has_lists() const;
  std::uint64_t faults() const;
};

}  // namespace proofdrive::analysis
