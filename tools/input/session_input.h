// What every command that reads a session does first and last: open it, find its definitions, and
// tell the user on standard error what is odd about it.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "analysis/findings/findings_of.h"
#include "core/base/result.h"
#include "session/beside/measurements.h"
#include "session/recording_reader.h"
#include "tools/shell/command.h"

namespace proofdrive::tools {

// Opens `path`, with all parts when it is a recording that was split; a session still being
// recorded or interrupted gets a note on standard error. The message of an error says what the file
// is and what to do.
Result<std::unique_ptr<session::RecordingReader>> OpenSession(Environment& environment,
                                                              const std::string& path);

// The sessions `path` names: itself, or, when it is a folder, every session in it in order of their
// names, a recording in parts once, by its first part. An error when a folder has none.
Result<std::vector<std::string>> SessionsNamed(Files& files, const std::string& path);

// What was measured by hand at the session `path`. A file of measurements that cannot be read is
// told on standard error and counts as none: the recording can be judged without it.
std::vector<session::Measurement> MeasuredAt(Environment& environment, const std::string& path,
                                             const session::Header& header);

// Call after the frames were read, when all damage is known: lists what is lost, and the advice.
// Returns true when data are lost, so that the command ends with ExitCode::kDamaged.
bool ReportLosses(Environment& environment, const std::string& path, const session::Reader& reader);

// Definitions for the session `path`: the files given, else the texts stored with it. Mistakes are
// printed on standard error and end in an error. Neither given nor stored: no error, but
// DefinitionSet::definitions is null.
Result<analysis::DefinitionSet> LoadDefinitions(Environment& environment,
                                                const std::vector<std::string>& given,
                                                const std::string& path,
                                                const session::Header& header);

// Prints the diagnostics of `set`; an error when they prevent its use. `path`: whose definitions.
Status CheckDefinitions(Environment& environment, const analysis::DefinitionSet& set,
                        const std::string& path);

// "proofdrive: TEXT" on standard error, one line.
void Note(Environment& environment, const std::string& text);

// Where one session is expected: an error that names one when `path` is a folder.
Status CheckNoFolder(Files& files, const std::string& path);

}  // namespace proofdrive::tools
