#include "tools/input/report_output.h"

#include "core/base/sha256.h"

namespace proofdrive::tools {

Result<output::SessionFile> FileOf(Environment& environment, const std::string& path,
                                   const session::Reader& reader) {
  output::SessionFile file;
  file.path = path;
  file.bytes = reader.file_bytes();
  ASSIGN_OR_RETURN(file.sha256, Sha256OfFile(environment.files, path));
  return file;
}

std::string Software() { return std::string("proofdrive ") + PROOFDRIVE_VERSION; }

}  // namespace proofdrive::tools
