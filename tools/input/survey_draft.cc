#include "tools/input/survey_draft.h"

#include "core/base/text.h"
#include "decoders/language/loader.h"
#include "output/survey/draft.h"
#include "tools/input/output_file.h"
#include "tools/input/session_input.h"

namespace proofdrive::tools {
namespace {

std::vector<std::string> NamesIn(const decoders::Definitions& definitions) {
  std::vector<std::string> names;
  for (const auto& signal : definitions.signals) names.push_back(signal.name);
  for (const auto& frame : definitions.frames) names.push_back(frame.name);
  return names;
}

Status CheckLoads(const std::string& path, const std::string& text) {
  const std::vector<decoders::SourceText> sources = {{path, text}};
  const decoders::LoadResult loaded = decoders::LoadDefinitions(sources);
  if (loaded.ok()) return Status::Ok();
  return Status(ErrorKind::kInternal, "the draft would not load, nothing was written: " +
                                          decoders::FormatDiagnostics(loaded.diagnostics));
}

}  // namespace

Status WriteDraft(Environment& environment, const std::string& path,
                  const std::vector<analysis::survey::FoundFrame>& found,
                  const analysis::survey::Answers& answers) {
  const OutputFile output{"--write", path, true};
  if (environment.files.KindOf(path) != PathKind::kFile) {
    const auto frames = output::DraftFrames(found, answers, {});
    const std::string text = output::NewDraft(frames);
    RETURN_IF_ERROR(CheckLoads(path, text));
    RETURN_IF_ERROR(WriteOutput(environment.files, output, text));
    Note(environment, path + ": " + CountOf(frames.size(), "frame") + " written");
    return Status::Ok();
  }
  ASSIGN_OR_RETURN(const std::string text, ReadWholeFile(environment.files, path));
  const std::vector<std::string> paths = {path};
  const decoders::LoadResult loaded = decoders::LoadDefinitionFiles(environment.files, paths);
  if (!loaded.ok()) {
    return Status(ErrorKind::kInvalidArgument,
                  "--write " + path + " is there and has mistakes; correct them first: " +
                      decoders::FormatDiagnostics(loaded.diagnostics));
  }
  const auto frames = output::DraftFrames(found, answers, NamesIn(*loaded.definitions));
  std::vector<std::string> left_out;
  const std::string extended = output::ExtendedDraft(text, *loaded.definitions, frames, left_out);
  if (!left_out.empty()) {
    Note(environment, path + ": not added, because they are not written in lines of their own: " +
                          Join(left_out, ", "));
  }
  if (extended == text) {
    Note(environment, path + ": nothing to add");
    return Status::Ok();
  }
  RETURN_IF_ERROR(CheckLoads(path, extended));
  RETURN_IF_ERROR(WriteOutput(environment.files, output, extended));
  Note(environment, path + ": what is new was added; nothing else was changed");
  return Status::Ok();
}

}  // namespace proofdrive::tools
