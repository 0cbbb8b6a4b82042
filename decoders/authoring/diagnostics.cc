#include "decoders/authoring/diagnostics.h"

#include <algorithm>

#include "core/base/text.h"

namespace proofdrive::decoders {
namespace {

// Blanks that put a caret under byte `column` (from 1): one per character, tabs kept.
std::string Indent(const std::string& source, std::size_t column) {
  std::string indent;
  for (std::size_t i = 0; i + 1 < column; ++i) {
    const unsigned char byte = i < source.size() ? static_cast<unsigned char>(source[i]) : ' ';
    if ((byte & 0xC0) == 0x80) continue;  // a further byte of the same character
    indent += byte == '\t' ? '\t' : ' ';
  }
  return indent;
}

// Printable, but keeps tabs so that the caret stays in place.
std::string ShowLine(const std::string& source) {
  std::vector<std::string> parts;
  for (const std::string& part : Split(source, '\t')) parts.push_back(Printable(part));
  return Join(parts, "\t");
}

}  // namespace

std::string FormatDiagnostic(const Diagnostic& diagnostic) {
  std::string text = diagnostic.file;
  if (diagnostic.line > 0) {
    text += ":" + std::to_string(diagnostic.line) + ":" + std::to_string(diagnostic.column);
  }
  text += diagnostic.level == DiagnosticLevel::kError ? ": error: " : ": warning: ";
  text += diagnostic.message + "\n";
  if (!diagnostic.source.empty()) {
    text += "  " + ShowLine(diagnostic.source) + "\n";
    text += "  " +
            Indent(diagnostic.source, diagnostic.caret > 0 ? diagnostic.caret : diagnostic.column) +
            "^\n";
  }
  if (!diagnostic.hint.empty()) text += "  hint: " + diagnostic.hint + "\n";
  return text;
}

std::string FormatDiagnostics(const std::vector<Diagnostic>& diagnostics) {
  std::string text;
  for (const Diagnostic& diagnostic : diagnostics) text += FormatDiagnostic(diagnostic);
  return text;
}

}  // namespace proofdrive::decoders
