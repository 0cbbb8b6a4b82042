#include "decoders/authoring/reporter.h"

#include <algorithm>
#include <tuple>
#include <utility>

#include "core/base/text.h"

namespace proofdrive::decoders {
namespace {

std::vector<std::string_view> SplitLines(std::string_view text) {
  std::vector<std::string_view> lines;
  while (!text.empty()) {
    const std::size_t end = text.find('\n');
    std::string_view line = text.substr(0, end);
    if (line.ends_with('\r')) line.remove_suffix(1);
    lines.push_back(line);
    if (end == std::string_view::npos) break;
    text.remove_prefix(end + 1);
  }
  return lines;
}

// A file may be one line of megabytes; every mistake in it would repeat that.
constexpr std::size_t kLongestMessage = 4000;
constexpr std::size_t kLongestLine = 240;
constexpr std::size_t kShownBefore = 80;
constexpr std::string_view kCut = "...";

// The line, or the part of a long one around the column.
void ShowPlace(std::string_view line, Diagnostic& diagnostic) {
  if (line.size() <= kLongestLine) {
    diagnostic.source = line;
    return;
  }
  const std::size_t at = std::min(diagnostic.column > 0 ? diagnostic.column - 1 : 0, line.size());
  const std::size_t from = CharacterStart(line, at > kShownBefore ? at - kShownBefore : 0);
  const std::string_view before = from > 0 ? kCut : std::string_view();
  diagnostic.source = std::string(before) + CutText(line.substr(from), kLongestLine);
  diagnostic.caret = before.size() + (at - from) + 1;
}

}  // namespace

std::uint32_t Reporter::AddFile(const SourceText& source) {
  files_.push_back({source.path, SplitLines(source.text)});
  return static_cast<std::uint32_t>(files_.size() - 1);
}

void Reporter::Error(const Mark& mark, const std::string& message, const std::string& hint) {
  ++errors_;
  Add(DiagnosticLevel::kError, mark, message, hint);
}

void Reporter::Warn(const Mark& mark, const std::string& message, const std::string& hint) {
  Add(DiagnosticLevel::kWarning, mark, message, hint);
}

void Reporter::Add(DiagnosticLevel level, const Mark& mark, const std::string& message,
                   const std::string& hint) {
  if (full()) return;
  Diagnostic diagnostic;
  diagnostic.level = level;
  diagnostic.file = files_[mark.file].path;
  diagnostic.line = mark.line;
  diagnostic.column = mark.column;
  // Names come from the file, which may hold any bytes.
  diagnostic.message = Printable(CutText(message, kLongestMessage));
  diagnostic.hint = Printable(CutText(hint, kLongestMessage));
  ShowPlace(Line(mark), diagnostic);
  entries_.push_back({mark, std::move(diagnostic)});
}

std::string_view Reporter::Line(const Mark& mark) const {
  const auto& lines = files_[mark.file].lines;
  return mark.line >= 1 && mark.line <= lines.size() ? lines[mark.line - 1] : std::string_view();
}

std::string Reporter::Show(const Mark& mark) const {
  return files_[mark.file].path + ":" + std::to_string(mark.line) + ":" +
         std::to_string(mark.column);
}

Place Reporter::PlaceOf(const Mark& mark) const {
  return {files_[mark.file].path, mark.line, mark.column};
}

std::vector<Diagnostic> Reporter::Take() {
  const auto key = [](const Entry& entry) {
    return std::tuple(entry.mark.file, entry.mark.line, entry.mark.column);
  };
  std::stable_sort(entries_.begin(), entries_.end(),
                   [&](const Entry& a, const Entry& b) { return key(a) < key(b); });
  std::vector<Diagnostic> diagnostics;
  for (Entry& entry : entries_) diagnostics.push_back(std::move(entry.diagnostic));
  entries_.clear();
  return diagnostics;
}

}  // namespace proofdrive::decoders
