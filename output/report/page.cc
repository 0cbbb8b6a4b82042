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
  return "<!DOCTYPE html>\n<html lang=\"en\" data-theme=\"light\">\n<head>\n<meta "
         "charset=\"utf-8\">\n"
         "<meta http-equiv=\"Content-Security-Policy\" content=\"" +
         std::string(kPolicy) +
         "\">\n<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n" +
         "<link rel=\"icon\" href=\"data:,\">\n" + Tag("title", page.title).str() + "\n<style>\n" +
         (plots ? Embedded("dygraph.min.css") : "") + Embedded("look.css") +
         Embedded("report.css") + "</style>\n</head>\n";
}

std::string Scripts(const Charts& charts) {
  if (charts.count() == 0) return "";
  return "<script type=\"application/json\" id=\"plot-data\">" + charts.Data() +
         "</script>\n<script>" + Embedded("dygraph.min.js") + "</script>\n<script>\n" +
         Embedded("report.js") + "</script>\n";
}

Html SectionHtml(const Section& section) {
  return Tag("section", {{"id", section.id}, {"class", "sheet"}},
             Tag("h2", section.heading) + Html::Markup("\n") + section.body) +
         Html::Markup("\n");
}

// Links to the parts, for screens: paper has none to tap.
Html Contents(const std::vector<Section>& sections) {
  Html items;
  for (const Section& section : sections) {
    if (section.body.empty()) continue;
    items += Tag("li", Tag("a", {{"href", "#" + section.id}}, Html::Text(section.heading)));
  }
  if (items.empty()) return {};
  return Tag("nav", {{"class", "contents screen-only"}, {"aria-label", "Contents"}},
             Tag("ol", items)) +
         Html::Markup("\n");
}

Html WithBasis(const Caution& caution) {
  return Html::Text(caution.text) + Html::Markup(" ") + Tag("small", "[" + caution.basis + "]");
}

}  // namespace

std::string FormatPage(const ReportPage& page, const Charts& charts) {
  const Html header =
      Tag("header", {{"class", "sheet"}},
          Tag("p", {{"class", "kicker"}}, Html::Text(page.kicker)) +
              Tag("h1", {{"class", "answer"}}, Html::Text(page.answer)) + page.facts);
  Html sections;
  for (const Section& section : page.sections) {
    if (!section.body.empty()) sections += SectionHtml(section);
  }
  const Html main = Tag("main", header + Html::Markup("\n") + Contents(page.sections) + sections +
                                    Tag("footer", Tag("p", page.footer)));
  return Head(page, charts.count() > 0) + "<body>\n" + main.str() + "\n" + Scripts(charts) +
         "</body>\n</html>\n";
}

Html CautionBox(std::span<const CautionTopic> topics) {
  return Tag("aside", {{"class", "warn-box"}},
             Tag("p", Tag("strong", "Before you touch, charge or drive: ") +
                          WithBasis(FittingCaution(topics)) + Html::Markup(" ") +
                          Tag("a", {{"href", "#cautions"}, {"class", "screen-only"}},
                              Html::Text("Further cautions"))));
}

Section CautionSection(const std::vector<Caution>& all, std::span<const CautionTopic> topics) {
  const std::string told = FittingCaution(topics).text;
  std::vector<Html> items;
  for (const Caution& caution : all) {
    if (caution.text != told) items.push_back(WithBasis(caution));
  }
  return {"cautions", "Further cautions", List(items)};
}

Html List(const std::vector<Html>& items) {
  if (items.empty()) return {};
  Html list;
  for (const Html& item : items) list += Tag("li", item) + Html::Markup("\n");
  return Tag("ul", list);
}

}  // namespace proofdrive::output
