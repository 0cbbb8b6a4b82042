#include "output/sheet/sheet_text.h"

#include <algorithm>
#include <cctype>

#include "output/sheet/table.h"

namespace proofdrive::output {
namespace {

std::string Upper(std::string title) {
  std::transform(title.begin(), title.end(), title.begin(),
                 [](unsigned char c) { return static_cast<char>(std::toupper(c)); });
  return title;
}

std::string TableOf(const Sheet& sheet) {
  std::vector<Table::Column> columns;
  for (const SheetColumn& column : sheet.columns) {
    const bool count = column.kind == SheetColumn::Kind::kCount;
    columns.push_back({Upper(column.title), count ? Table::Align::kRight : Table::Align::kLeft});
  }
  Table table(std::move(columns));
  for (const std::vector<std::string>& row : sheet.rows) table.Add(row);
  return table.Format();
}

}  // namespace

std::string SheetText(const Sheet& sheet) {
  if (sheet.empty()) return "";
  const std::string more = sheet.more.empty() ? "" : " (proofdrive " + sheet.more + " tells more)";
  const std::string head = sheet.lead.empty() ? sheet.name + more + "\n"
                                              : Paragraph(sheet.name + ": ", sheet.lead + more);
  return sheet.rows.empty() ? head : head + "\n" + TableOf(sheet);
}

}  // namespace proofdrive::output
