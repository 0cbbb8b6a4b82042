// Which recordings a report was made from: what they are, what happened in them, their hashes.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "analysis/findings/session_findings.h"
#include "output/sheet/html.h"

namespace proofdrive::output {

// A session as the file or, when it was recorded in parts, the files it was read from.
struct SessionFile {
  struct Part {
    std::string path;
    std::string sha256;
  };
  std::uint64_t bytes = 0;  // of all
  std::vector<Part> parts;
};

struct Recording {
  std::string title;  // "before", "after"; may be empty
  const analysis::SessionFindings* findings = nullptr;
  SessionFile file;
};

// A table with one column per recording.
Html RecordingsTable(std::span<const Recording> recordings);

// Marks, drops, changes of channels and clocks in order of time; nothing when there were none.
Html EventsTable(std::span<const Recording> recordings);

// "arrival of 2026-03-01 12:00:00 UTC": stage (else name, else "session") and date.
std::string RecordingName(const analysis::SessionFindings& findings);

}  // namespace proofdrive::output
