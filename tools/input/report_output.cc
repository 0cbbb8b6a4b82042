#include "tools/input/report_output.h"

#include <utility>

#include "core/digests/sha256.h"

namespace proofdrive::tools {

Result<output::SessionFile> FileOf(Environment& environment,
                                   const session::RecordingReader& reader) {
  output::SessionFile file;
  file.bytes = reader.file_bytes();
  for (const session::PartFile& part : reader.parts()) {
    ASSIGN_OR_RETURN(std::string hash, Sha256OfFile(environment.files, part.path));
    file.parts.push_back({part.path, std::move(hash)});
  }
  return file;
}

std::string Software() { return std::string("proofdrive ") + PROOFDRIVE_VERSION; }

}  // namespace proofdrive::tools
