// Collects the mistakes of one run of the loader and adds the source line to each.
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "decoders/authoring/diagnostics.h"
#include "decoders/authoring/source_text.h"
#include "decoders/model/definitions.h"

namespace proofdrive::decoders {

// A place in one of the files being read; cheap to copy.
struct Mark {
  std::uint32_t file = 0;    // index of the source
  std::uint32_t line = 0;    // from 1; 0 = the whole file
  std::uint32_t column = 0;  // from 1, in bytes
};

// Keeps at most kMostDiagnostics, so that a file that is something else entirely stays readable.
class Reporter {
 public:
  static constexpr std::size_t kMostDiagnostics = 500;

  // Files are added as they are read; the texts must outlive the reporter.
  std::uint32_t AddFile(const SourceText& source);

  void Error(const Mark& mark, const std::string& message, const std::string& hint = {});
  void Warn(const Mark& mark, const std::string& message, const std::string& hint = {});

  std::string_view FileName(const Mark& mark) const { return files_[mark.file].path; }
  // The text of the line; empty when there is none.
  std::string_view Line(const Mark& mark) const;
  // "cabin.yaml:12:3", for a message about one place that mentions another.
  std::string Show(const Mark& mark) const;
  Place PlaceOf(const Mark& mark) const;
  std::size_t errors() const { return errors_; }
  // Nothing more is kept: looking for further mistakes is idle.
  bool full() const { return entries_.size() >= kMostDiagnostics; }
  // In order of file, line and column.
  std::vector<Diagnostic> Take();

 private:
  struct File {
    std::string path;
    std::vector<std::string_view> lines;
  };
  struct Entry {
    Mark mark;
    Diagnostic diagnostic;
  };
  void Add(DiagnosticLevel level, const Mark& mark, const std::string& message,
           const std::string& hint);

  std::vector<File> files_;
  std::vector<Entry> entries_;
  std::size_t errors_ = 0;
};

}  // namespace proofdrive::decoders
