// Which fields fit numbers that somebody read off a display or a meter and wrote down.
#pragma once

#include <string>
#include <vector>

#include "analysis/survey/meaning/field_tracks.h"
#include "core/base/result.h"

namespace proofdrive::analysis::survey {

inline constexpr std::size_t kLeastNotes = 4;

struct NotedNumber {
  double value = 0;
  double step = 1;   // of the last digit that was written
  std::string unit;  // empty: none was written
  double time = 0;   // s since 1970
};

// "366.1 V at 12:03:10" (UTC, on the day of `begin`), "366.1 V at 35 s" (since `begin`), or with an
// ISO 8601 time. `begin`: of the recording, s since 1970.
Result<NotedNumber> ParseNoted(const std::string& text, double begin);

struct NotedFit {
  FieldName field;
  double scale = 1;
  double offset = 0;
  double worst = 0;  // residual, in units of the last digit
};

struct NotedAnswer {
  std::vector<NotedFit> fits;  // every number within its last digit; the best first
  std::string notice;          // why there is none, or how little it proves; empty: nothing to say
};

NotedAnswer FollowNotes(const std::vector<NotedNumber>& notes,
                        const std::vector<FieldTrack>& tracks);

}  // namespace proofdrive::analysis::survey
