// Plain text tables for people: aligned columns, the last one wrapped to the width of the page.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace proofdrive::output {

inline constexpr std::size_t kPageWidth = 100;

// Breaks at blanks so that no line is longer than `width` characters; a longer word gets a line of
// its own. At least one line.
std::vector<std::string> Wrap(std::string_view text, std::size_t width);

// `first`, then the wrapped text; further lines begin below the first character of the text. Ends
// in a newline. Both are made Printable.
std::string Paragraph(std::string_view first, std::string_view text,
                      std::size_t width = kPageWidth);

class Table {
 public:
  enum class Align { kLeft, kRight };
  struct Column {
    std::string title;
    Align align = Align::kLeft;
  };

  explicit Table(std::vector<Column> columns) : columns_(std::move(columns)) {}
  // Cells are made Printable.
  // REQUIRES: as many cells as columns.
  void Add(std::vector<std::string> cells);
  bool empty() const { return rows_.empty(); }

  // Titles, then the rows, two blanks between columns. Text of the last column is wrapped when it
  // is aligned left. No blanks at the ends of lines.
  std::string Format(std::size_t width = kPageWidth) const;

 private:
  std::vector<std::size_t> Widths() const;

  std::vector<Column> columns_;
  std::vector<std::vector<std::string>> rows_;
};

// Characters of UTF-8 text, as a terminal counts columns for most languages.
std::size_t CharacterCount(std::string_view utf8);

}  // namespace proofdrive::output
