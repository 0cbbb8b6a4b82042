// Every file name the store makes: the one owner of the endings. NAME.session is the session
// itself, NAME.part-0002.session (parts.h) a later part of it.
#pragma once

#include <string>
#include <string_view>

#include "core/base/result.h"

namespace proofdrive::session {

inline constexpr std::string_view kSessionEnding = ".session";

// Whether the path ends in ".session" after at least one other character of the file's name.
bool HasSessionEnding(const std::string& path);
// kInvalidArgument unless HasSessionEnding.
Status CheckSessionPath(const std::string& path);
// "x.session" -> "x"; any other path stays as it is.
std::string WithoutSessionEnding(const std::string& path);

// "x.session" -> "x.journal", "x.recovered.session".
std::string JournalPath(const std::string& session_path);
std::string RecoveredPath(const std::string& session_path);
// Where the next journal is prepared before it replaces the present one.
std::string NextJournalPath(const std::string& session_path);
// "x.session" -> "x.pinned": the recorder never deletes it (pin.h).
std::string PinnedPath(const std::string& session_path);
// "x.session" -> "x.truth.json": what a simulation knows of the frames it made.
std::string TruthPath(const std::string& session_path);

// "x.session" -> "x.measured": what a person measured meanwhile (beside/measurements.h).
std::string MeasuredPath(const std::string& session_path);

// "x.session", "x.journal", "x.journal.new": what holds frames.
bool HoldsRecording(const std::string& path);

// The session a file belongs to: "x.session" of "x.session", "x.journal", "x.journal.new" and
// "x.truth.json"; empty for any other name.
std::string SessionOfFile(const std::string& name);

}  // namespace proofdrive::session
