#include "tools/input/session_input.h"

#include <algorithm>
#include <ostream>

#include "core/base/text.h"
#include "decoders/authoring/diagnostics.h"
#include "session/model/names.h"

namespace proofdrive::tools {
namespace {

// A damaged file can have thousands of losses; the first ones say enough here.
constexpr std::size_t kLossesShown = 5;

void TellState(Environment& environment, const std::string& path, session::State state) {
  if (state == session::State::kRecording) {
    Note(environment, path + " is still being recorded; what is there until now is used.");
  }
  if (state == session::State::kInterrupted) {
    Note(environment, path +
                          ": the recording was interrupted; everything saved until then is used. "
                          "Complete it with: proofdrive recover " +
                          path);
  }
}

void Show(Environment& environment, const std::vector<decoders::Diagnostic>& diagnostics) {
  environment.err << decoders::FormatDiagnostics(diagnostics);
}

std::size_t ErrorCount(const std::vector<decoders::Diagnostic>& diagnostics) {
  std::size_t errors = 0;
  for (const decoders::Diagnostic& one : diagnostics) {
    if (one.level == decoders::DiagnosticLevel::kError) ++errors;
  }
  return errors;
}

}  // namespace

Status CheckNoFolder(Files& files, const std::string& path) {
  ASSIGN_OR_RETURN(const auto sessions, SessionsNamed(files, path));
  if (sessions.front() == path) return Status::Ok();
  return Status(ErrorKind::kInvalidArgument,
                path + " is a folder; give one session, for example " + sessions.front() +
                    (sessions.size() > 1 ? " (proofdrive info " + path + " lists all " +
                                               std::to_string(sessions.size()) + ")"
                                         : ""));
}

void Note(Environment& environment, const std::string& text) {
  environment.err << "proofdrive: " << PrintableLines(text, "") << "\n";
}

Result<std::vector<std::string>> SessionsNamed(Files& files, const std::string& path) {
  const std::vector<std::string> itself = {path};
  if (path.ends_with(session::kSessionEnding)) return itself;
  std::string folder = path;
  while (folder.size() > 1 && folder.ends_with('/')) folder.pop_back();
  const auto names = files.List(folder);
  const bool is_folder = names.ok() && (!names->empty() || files.Exists(folder));
  if (!is_folder) return itself;  // whoever opens it says what it is
  folder = folder == "." ? "" : folder == "/" ? folder : folder + "/";
  std::vector<std::string> found;
  for (const std::string& name : *names) {
    if (!name.ends_with(session::kSessionEnding)) continue;
    const std::string first = folder + session::FirstPartPath(name);
    if (std::find(found.begin(), found.end(), first) == found.end()) found.push_back(first);
  }
  if (found.empty()) {
    return Status(ErrorKind::kNotFound, path + ": there is no session in this folder");
  }
  return found;
}

Result<std::unique_ptr<session::RecordingReader>> OpenSession(Environment& environment,
                                                              const std::string& path) {
  RETURN_IF_ERROR(CheckNoFolder(environment.files, path));
  ASSIGN_OR_RETURN(auto reader, session::OpenRecording(environment.files, path));
  TellState(environment, path, reader->state());
  return reader;
}

std::vector<session::Measurement> MeasuredAt(Environment& environment, const std::string& path,
                                             const session::Header& header) {
  auto measured = session::ReadMeasurements(environment.files, path, header);
  if (measured.ok()) return std::move(*measured);
  Note(environment, measured.status().message() + "; measurements by hand are not used");
  return {};
}

bool ReportLosses(Environment& environment, const std::string& path,
                  const session::Reader& reader) {
  std::size_t lost = 0;
  for (const session::Loss& loss : reader.losses()) {
    if (loss.severity != session::Loss::Severity::kDataLoss) continue;
    if (++lost > kLossesShown) continue;
    Note(environment, path + ": " + loss.what + (loss.advice.empty() ? "" : "; " + loss.advice));
  }
  if (lost > kLossesShown) {
    Note(environment, path + ": and " + FormatCount(lost - kLossesShown) +
                          " more losses; list them with: proofdrive verify " + path);
  }
  return lost > 0;
}

Status CheckDefinitions(Environment& environment, const analysis::DefinitionSet& set,
                        const std::string& path) {
  Show(environment, set.diagnostics);
  const std::size_t errors = ErrorCount(set.diagnostics);
  if (errors == 0) return Status::Ok();
  const std::string count = CountOf(errors, "mistake");
  if (set.origin == analysis::DefinitionOrigin::kStored) {
    return Status(ErrorKind::kInvalidArgument, "the definitions stored with " + path + " have " +
                                                   count +
                                                   "; give corrected files with --definitions");
  }
  return Status(ErrorKind::kInvalidArgument,
                "the definition files have " + count + "; correct them and try again");
}

Result<analysis::DefinitionSet> LoadDefinitions(Environment& environment,
                                                const std::vector<std::string>& given,
                                                const std::string& path,
                                                const session::Header& header) {
  analysis::DefinitionSet set = analysis::DefinitionsFor(environment.files, given, header);
  RETURN_IF_ERROR(CheckDefinitions(environment, set, path));
  return set;
}

}  // namespace proofdrive::tools
