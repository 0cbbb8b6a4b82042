#include "output/sheet/html.h"

#include "core/base/text.h"

namespace proofdrive::output {
namespace {

std::string Escaped(std::string_view text) {
  std::string out;
  for (const char c : Printable(text)) {
    switch (c) {
      case '&':
        out += "&amp;";
        break;
      case '<':
        out += "&lt;";
        break;
      case '>':
        out += "&gt;";
        break;
      case '"':
        out += "&quot;";
        break;
      case '\'':
        out += "&#39;";
        break;
      default:
        out += c;
    }
  }
  return out;
}

}  // namespace

Html Html::Text(std::string_view text) { return FromTrusted(Escaped(text)); }

Html Html::FromTrusted(std::string_view markup) {
  Html html;
  html.text_ = markup;
  return html;
}

Html Tag(const char* name, std::initializer_list<Attribute> attributes, const Html& inner) {
  std::string open = std::string("<") + name;
  for (const Attribute& attribute : attributes) {
    open += std::string(" ") + attribute.name + "=\"" + Escaped(attribute.value) + "\"";
  }
  return Html::FromTrusted(open + ">" + inner.str() + "</" + name + ">");
}

std::string Capital(std::string text) {
  if (!text.empty() && text[0] >= 'a' && text[0] <= 'z') {
    text[0] = static_cast<char>(text[0] - 'a' + 'A');
  }
  return text;
}

Html HtmlTable::Format() const {
  Html head;
  for (const std::string& title : titles_) head += Tag("th", {{"scope", "col"}}, Html::Text(title));
  Html body;
  for (const std::vector<Html>& row : rows_) {
    Html cells;
    for (std::size_t i = 0; i < row.size(); ++i) {
      cells += Tag("td", {{"data-title", titles_[i]}}, row[i]);
    }
    body += Tag("tr", cells) + Html::Markup("\n");
  }
  return Tag("div", {{"class", "scroll"}},
             Tag("table", Tag("thead", Tag("tr", head)) + Html::Markup("\n") + Tag("tbody", body)));
}

}  // namespace proofdrive::output
