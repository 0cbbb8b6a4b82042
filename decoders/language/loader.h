// Reads definition files. All mistakes of all files are reported in one run.
#pragma once

#include <memory>
#include <span>
#include <string>
#include <vector>

#include "core/base/files.h"
#include "decoders/authoring/diagnostics.h"
#include "decoders/authoring/source_text.h"
#include "decoders/model/definitions.h"

namespace proofdrive::decoders {

struct LoadResult {
  // Null when there is any error; warnings alone do not prevent loading.
  std::shared_ptr<const Definitions> definitions;
  std::vector<Diagnostic> diagnostics;
  bool ok() const { return definitions != nullptr; }
};

// Merges several files into one set of definitions. What they include must be among them:
// ReadSources gives it. Never throws, whatever the text is.
LoadResult LoadDefinitions(std::span<const SourceText> sources);
// The same from disk, with included files that are among `paths` or below the folder of the file
// that includes them; others are a mistake, and not opened. One that cannot be read is a diagnostic
// with line 0.
LoadResult LoadDefinitionFiles(Files& files, std::span<const std::string> paths);
// Reads the texts and those they include, so that a recorder can store them with the session.
Result<std::vector<SourceText>> ReadSources(Files& files, std::span<const std::string> paths);

}  // namespace proofdrive::decoders
