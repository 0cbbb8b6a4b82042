#include "output/report/comparison_report.h"

#include <gmock/gmock.h>

namespace proofdrive::output {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;

constexpr char kEvil[] = "</script><script>alert(1)</script><img src=x onerror=alert(2)>";

// Every text that comes from a file or a bus is hostile.
analysis::SessionFindings Hostile() {
  auto definitions = std::make_shared<decoders::Definitions>();
  definitions->vehicle = kEvil;
  definitions->files = {kEvil};
  decoders::Signal signal;
  signal.name = std::string("s") + kEvil;
  signal.role = kEvil;
  signal.unit = kEvil;
  signal.states = {{0, 0, kEvil}};
  definitions->signals = {signal};
  decoders::Warning warning;
  warning.name = kEvil;
  warning.text = kEvil;
  warning.when.text = kEvil;
  warning.proven_by = decoders::ProvenBy{{kEvil, {}}, std::chrono::seconds(1)};
  definitions->warnings = {warning};
  analysis::SessionFindings findings;
  findings.definitions = definitions;
  findings.header.name = findings.header.vehicle = findings.header.notes = kEvil;
  findings.header.source = findings.header.software = findings.header.id = kEvil;
  findings.frames = 1;
  findings.length = std::chrono::seconds(10);
  findings.warnings.resize(1);
  findings.warnings[0].spans = {
      {decoders::WarningStateKind::kOn, WallTime(), WallTime(std::chrono::seconds(10))}};
  findings.sources.resize(1);
  findings.signals.resize(1);
  findings.signals[0].state_counts = {1};
  findings.signals[0].lowest.value = 0;
  findings.signals[0].highest.value = 1;
  findings.signals[0].curve = {{Duration(0), 0, 1, 0.5}, {std::chrono::seconds(1), 0, 1, 0.5}};
  session::Event mark;
  mark.kind = session::EventKind::kMark;
  mark.text = kEvil;
  findings.events = {{Duration(0), mark}};
  return findings;
}

TEST(ComparisonReport, NothingFromOutsideBecomesMarkup) {
  const auto comparison = analysis::Compare(Hostile(), Hostile());
  const std::string html =
      ComparisonReport({comparison, {1, {{kEvil, kEvil}}}, {1, {{kEvil, kEvil}}}, kEvil});
  EXPECT_THAT(html, Not(HasSubstr("alert(1)</script>")));
  EXPECT_THAT(html, Not(HasSubstr("<img")));
  EXPECT_THAT(html, HasSubstr("&lt;img src=x onerror=alert(2)&gt;"));
  EXPECT_THAT(html, HasSubstr("\\u003cimg src=x"));  // in the data of the plots
}

TEST(ComparisonReport, LoadsNothingAndForbidsIt) {
  const auto comparison = analysis::Compare(Hostile(), Hostile());
  const std::string html = ComparisonReport({comparison, {}, {}, "proofdrive"});
  EXPECT_THAT(html, HasSubstr("default-src 'none'"));
  EXPECT_THAT(html, Not(HasSubstr("src=\"http")));
  EXPECT_THAT(html, Not(HasSubstr("href=\"http")));
  EXPECT_THAT(html, Not(HasSubstr("@import")));
}

// Every part has a link, no link leads nowhere, and paper has none.
TEST(ComparisonReport, HasATableOfContentsForScreens) {
  const auto comparison = analysis::Compare(Hostile(), Hostile());
  const std::string html = ComparisonReport({comparison, {}, {}, "proofdrive"});
  EXPECT_THAT(html, HasSubstr("<nav class=\"contents screen-only\""));
  const std::string link = "<li><a href=\"#", part = "<section id=\"";
  std::vector<std::string> links, parts;
  for (auto at = html.find(link); at != std::string::npos; at = html.find(link, at + 1)) {
    links.push_back(
        html.substr(at + link.size(), html.find('"', at + link.size()) - at - link.size()));
  }
  for (auto at = html.find(part); at != std::string::npos; at = html.find(part, at + 1)) {
    parts.push_back(
        html.substr(at + part.size(), html.find('"', at + part.size()) - at - part.size()));
  }
  EXPECT_EQ(links, parts);
  EXPECT_GT(links.size(), 3U);
}

TEST(ComparisonReport, HasTheLookOfTheLivePage) {
  EXPECT_THAT(ComparisonReport({analysis::Comparison(), {}, {}, "proofdrive"}),
              HasSubstr("The one look of the live page and of reports"));
}

TEST(ComparisonReport, WithoutDefinitionsItSaysSoAndHasNoScript) {
  analysis::Comparison comparison;
  const std::string html = ComparisonReport({comparison, {}, {}, "proofdrive"});
  EXPECT_THAT(html, HasSubstr("<h1 class=\"answer\">No warning could be judged"));
  EXPECT_THAT(html, Not(HasSubstr("<script")));
}

}  // namespace
}  // namespace proofdrive::output
