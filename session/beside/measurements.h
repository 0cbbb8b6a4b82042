// What a person measured by hand while a session was recorded: a file beside the session,
// NAME.measured for all parts of NAME, so that the session itself is never changed. Its bytes:
// docs/session-format.md.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "core/base/files.h"
#include "core/base/result.h"
#include "core/base/time.h"
#include "session/model/header.h"

namespace proofdrive::session {

struct Measurement {
  WallTime at;
  std::string role;           // what was measured: "isolation resistance"
  std::uint32_t element = 0;  // which one of a series, from 1; 0 = no series
  double value = 0;           // finite, in `unit`
  std::string unit;           // as it was written: "Mohm"
  std::string how;            // "insulation tester, 500 V, pack side"
  std::string text;           // the whole as it was written: "insulation 2.1 Mohm"
};

// "d/x.session" and "d/x.part-0002.session" -> "d/x.measured".
std::string MeasurementsPath(const std::string& session_path);

// In the order they were noted; none when there is no such file. kCorrupt, kUnsupportedVersion:
// what stands there cannot be read; kInvalidArgument: it belongs to another session. `header`: of
// the session.
Result<std::vector<Measurement>> ReadMeasurements(Files& files, const std::string& session_path,
                                                  const Header& header);

// Stores these instead of what was stored, in one step; with none of them the file goes. Durable on
// return. A file that ReadMeasurements cannot read is left as it is, with its error.
Status WriteMeasurements(Files& files, const std::string& session_path, const Header& header,
                         const std::vector<Measurement>& measurements);

}  // namespace proofdrive::session
