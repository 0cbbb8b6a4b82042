#include "output/report/page.h"

#include "core/base/text.h"
#include "output/report/embedded_file.h"

namespace proofdrive::output {
namespace {

std::string Embedded(std::string_view name) {
  for (const EmbeddedFile& file : EmbeddedFiles()) {
    if (file.name == name) return std::string(file.bytes);
  }
  return "";
}

// Nothing may be loaded from anywhere, whatever got into the text.
constexpr char kPolicy[] =
    "default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'; img-src data:; "
    "base-uri 'none'; form-action 'none'";

std::string Head(const ReportPage& page, bool plots) {
  return "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
         "<meta http-equiv=\"Content-Security-Policy\" content=\"" +
         std::string(kPolicy) +
         "\">\n<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n" +
         "<link rel=\"icon\" href=\"data:,\">\n" + Tag("title", page.title).str() + "\n<style>\n" +
         (plots ? Embedded("dygraph.min.css") : "") + Embedded("report.css") +
         "</style>\n</head>\n";
}

std::string Scripts(const Charts& charts) {
  if (charts.count() == 0) return "";
  return "<script type=\"application/json\" id=\"plot-data\">" + charts.Data() +
         "</script>\n<script>" + Embedded("dygraph.min.js") + "</script>\n<script>\n" +
         Embedded("report.js") + "</script>\n";
}

}  // namespace

std::string FormatPage(const ReportPage& page, const Charts& charts) {
  const Html header = Tag("header", Tag("p", {{"class", "kicker"}}, Html::Text(page.kicker)) +
                                        Tag("h1", page.answer) + page.facts);
  const Html main =
      Tag("main", header + Html::Markup("\n") + page.body + Tag("footer", Tag("p", page.footer)));
  return Head(page, charts.count() > 0) + "<body>\n" + main.str() + "\n" + Scripts(charts) +
         "</body>\n</html>\n";
}

Html Section(const std::string& id, const std::string& heading, const Html& body) {
  if (body.empty()) return {};
  return Tag("section", {{"id", id}}, Tag("h2", heading) + Html::Markup("\n") + body) +
         Html::Markup("\n");
}

Html CautionBox(CautionContext context) { return CautionBox(CautionsFor(context)); }

Html CautionBox(const std::vector<Caution>& cautions) {
  std::vector<Html> items;
  for (const Caution& caution : cautions) {
    items.push_back(Html::Text(caution.text) + Html::Markup(" ") +
                    Tag("small", "[" + caution.basis + "]"));
  }
  return Tag("aside", {{"class", "caution"}},
             Tag("p", Tag("strong", "Before you touch, charge or drive")) + List(items));
}

Html List(const std::vector<Html>& items) {
  if (items.empty()) return {};
  Html list;
  for (const Html& item : items) list += Tag("li", item) + Html::Markup("\n");
  return Tag("ul", list);
}

}  // namespace proofdrive::output
