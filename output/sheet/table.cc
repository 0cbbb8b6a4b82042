#include "output/sheet/table.h"

#include <algorithm>

#include "core/base/text.h"

namespace proofdrive::output {
namespace {

constexpr std::string_view kGap = "  ";
// A last column narrower than this is not worth wrapping into.
constexpr std::size_t kLeastWrap = 24;

std::string Padded(const std::string& text, std::size_t width, Table::Align align) {
  const std::size_t length = CharacterCount(text);
  const std::string blanks(width > length ? width - length : 0, ' ');
  return align == Table::Align::kRight ? blanks + text : text + blanks;
}

// A unit of time stays on the line of its number.
bool BelongsToNumber(std::string_view before, std::string_view word) {
  if (before.empty() || before.back() < '0' || before.back() > '9') return false;
  const std::string_view unit = word.substr(0, word.find_first_of(",;:)."));
  return unit == "s" || unit == "ms" || unit == "min" || unit == "h";
}

void AppendLine(std::string& out, std::string line) {
  line.erase(line.find_last_not_of(' ') + 1);
  out += line + "\n";
}

}  // namespace

std::size_t CharacterCount(std::string_view utf8) {
  return static_cast<std::size_t>(std::count_if(utf8.begin(), utf8.end(), [](char c) {
    return (static_cast<unsigned char>(c) & 0xC0) != 0x80;
  }));
}

std::vector<std::string> Wrap(std::string_view text, std::size_t width) {
  std::vector<std::string> words;
  while (!text.empty()) {
    const std::size_t blank = std::min(text.find(' '), text.size());
    const std::string_view word = text.substr(0, blank);
    text.remove_prefix(std::min(blank + 1, text.size()));
    if (word.empty()) continue;
    if (!words.empty() && BelongsToNumber(words.back(), word)) {
      words.back() += " " + std::string(word);
    } else {
      words.emplace_back(word);
    }
  }
  std::vector<std::string> lines(1);
  for (const std::string& word : words) {
    std::string& line = lines.back();
    if (line.empty()) {
      line = word;
    } else if (CharacterCount(line) + 1 + CharacterCount(word) <= width) {
      line += " " + word;
    } else {
      lines.push_back(word);
    }
  }
  return lines;
}

std::string Paragraph(std::string_view first, std::string_view text, std::size_t width) {
  const std::string lead = Printable(first);
  const std::size_t indent = CharacterCount(lead);
  const auto lines = Wrap(Printable(text), width > indent ? width - indent : 1);
  std::string out;
  for (std::size_t i = 0; i < lines.size(); ++i) {
    AppendLine(out, (i == 0 ? lead : std::string(indent, ' ')) + lines[i]);
  }
  return out;
}

void Table::Add(std::vector<std::string> cells) {
  for (std::string& cell : cells) cell = Printable(cell);
  rows_.push_back(std::move(cells));
}

std::vector<std::size_t> Table::Widths() const {
  std::vector<std::size_t> widths;
  for (std::size_t column = 0; column < columns_.size(); ++column) {
    std::size_t width = CharacterCount(columns_[column].title);
    for (const auto& row : rows_) width = std::max(width, CharacterCount(row[column]));
    widths.push_back(width);
  }
  return widths;
}

std::string Table::Format(std::size_t width) const {
  const std::vector<std::size_t> widths = Widths();
  std::size_t fixed = 0;
  for (std::size_t i = 0; i + 1 < widths.size(); ++i) fixed += widths[i] + kGap.size();
  const std::size_t last = std::max(width > fixed ? width - fixed : 0, kLeastWrap);
  std::string out;
  const auto line = [&](const std::vector<std::string>& cells) {
    std::string text;
    for (std::size_t i = 0; i < cells.size(); ++i) {
      text += (i > 0 ? std::string(kGap) : "") + Padded(cells[i], widths[i], columns_[i].align);
    }
    AppendLine(out, std::move(text));
  };
  std::vector<std::string> titles;
  for (const Column& column : columns_) titles.push_back(column.title);
  line(titles);
  for (std::vector<std::string> row : rows_) {
    if (columns_.back().align == Align::kRight) {
      line(row);
      continue;
    }
    for (const std::string& part : Wrap(row.back(), last)) {
      row.back() = part;
      line(row);
      for (std::size_t i = 0; i + 1 < row.size(); ++i) row[i].clear();
    }
  }
  return out;
}

}  // namespace proofdrive::output
