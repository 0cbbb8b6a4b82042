// Mistakes in definition files, shown the way the author needs them: place, line, caret, hint.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

namespace proofdrive::decoders {

enum class DiagnosticLevel { kError, kWarning };

struct Diagnostic {
  DiagnosticLevel level = DiagnosticLevel::kError;
  std::string file;
  std::size_t line = 0;    // from 1; 0 = the whole file
  std::size_t column = 0;  // from 1
  std::string message;     // "unknown key \"scael\""
  std::string hint;        // "did you mean \"scale\"?"; may be empty
  std::string source;      // text of the line, or what is near the column; may be empty
  std::size_t caret = 0;   // place within `source`, from 1; 0: that is `column`
};

// What a parser of a short text (a location, a formula) found wrong, before its place is known.
struct TextProblem {
  std::size_t at = 0;  // offset into the text
  std::string message;
  std::string hint;
};

// "FILE:LINE:COLUMN: error: MESSAGE", the source line, a caret under the column and the hint, each
// on a line of its own, ending in a newline.
std::string FormatDiagnostic(const Diagnostic& diagnostic);
std::string FormatDiagnostics(const std::vector<Diagnostic>& diagnostics);

}  // namespace proofdrive::decoders
