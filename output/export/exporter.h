// Sessions to other forms. One file pair per form and one row in exporters.cc.
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "core/base/files.h"
#include "core/base/result.h"
#include "session/reader.h"

namespace proofdrive::output {

struct ExportOptions {
  std::string target;    // path of the file or folder to be made; must not exist
  std::string software;  // "proofdrive 0.1.0"
  // Called with frames done and frames in all now and then; may be empty.
  std::function<void(std::uint64_t, std::uint64_t)> progress;
};

struct ExportReport {
  std::uint64_t frames = 0;
  std::uint64_t marks = 0;
  std::uint64_t drops = 0;  // frames the session says were lost, as far as the form can say so
  std::uint64_t bytes = 0;  // written
  // What the form cannot hold, as sentences for people.
  std::vector<std::string> notices;
};

class Exporter {
 public:
  virtual ~Exporter() = default;
  // Writes the whole session. On failure nothing is left at the target. kAlreadyExists: nothing is
  // overwritten. Damage of the session is no error; see Reader::losses().
  virtual Result<ExportReport> Export(session::Reader& reader, Files& files,
                                      const ExportOptions& options) = 0;
};

}  // namespace proofdrive::output
