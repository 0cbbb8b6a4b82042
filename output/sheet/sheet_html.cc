#include "output/sheet/sheet_html.h"

namespace proofdrive::output {
namespace {

Html Cell(const SheetColumn& column, const std::string& text) {
  const Html html = Html::Text(text);
  return column.kind == SheetColumn::Kind::kName ? Tag("span", {{"class", "id"}}, html) : html;
}

Html TableOf(const Sheet& sheet) {
  std::vector<std::string> titles;
  for (const SheetColumn& column : sheet.columns) titles.push_back(column.title);
  HtmlTable table(std::move(titles));
  for (const std::vector<std::string>& row : sheet.rows) {
    std::vector<Html> cells;
    for (std::size_t i = 0; i < row.size(); ++i) cells.push_back(Cell(sheet.columns[i], row[i]));
    table.Add(std::move(cells));
  }
  return table.Format();
}

}  // namespace

Html SheetHtml(const Sheet& sheet) {
  if (sheet.empty()) return {};
  Html html = Tag("h3", sheet.name);
  if (!sheet.lead.empty()) html += Tag("p", Capital(sheet.lead));
  return sheet.rows.empty() ? html : html + TableOf(sheet);
}

}  // namespace proofdrive::output
