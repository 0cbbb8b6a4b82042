// Rows of named columns, written once and shown as text (sheet_text) and as HTML (sheet_html).
#pragma once

#include <string>
#include <utility>
#include <vector>

namespace proofdrive::output {

struct SheetColumn {
  enum class Kind {
    kText,
    kName,   // of a frame, a signal, an identifier
    kCount,  // a number; aligned right
  };
  std::string title;
  Kind kind = Kind::kText;
};

struct Sheet {
  std::string name;  // "Control units"
  std::string lead;  // begins small, follows the name; may be empty
  std::string more;  // the command that tells more, "check"; shown on a terminal only; may be empty
  std::vector<SheetColumn> columns;
  // Not escaped: whoever shows it does.
  // REQUIRES: as many cells as columns.
  std::vector<std::vector<std::string>> rows;

  void Add(std::vector<std::string> cells) { rows.push_back(std::move(cells)); }
  bool empty() const { return rows.empty() && lead.empty(); }
};

}  // namespace proofdrive::output
