#include "output/report/comparison_report.h"

#include <array>

#include "analysis/compare/test_plan.h"
#include "core/base/text.h"
#include "output/report/charts.h"
#include "output/report/method.h"
#include "output/report/page.h"
#include "output/report/signal_figures.h"
#include "output/report/strips.h"
#include "output/report/warning_articles.h"
#include "output/sheet/comparison_sheet.h"
#include "output/sheet/sheet_html.h"
#include "output/text/comparison_text.h"
#include "output/words/comparison_words.h"
#include "output/words/next_steps.h"
#include "output/words/topics.h"

namespace proofdrive::output {
namespace {

using analysis::Comparison;
using analysis::Verdict;

constexpr std::array kOpen = {Verdict::kStillOn, Verdict::kCameBack, Verdict::kNew};
constexpr std::array kUnproven = {Verdict::kNotProven, Verdict::kNoEvidence};
constexpr std::array kCleared = {Verdict::kCleared};
constexpr std::array kOffInBoth = {Verdict::kOffInBoth};

Section OpenSection(const Comparison& comparison) {
  const Html articles = WarningArticles(comparison, kOpen);
  if (articles.empty()) return {};
  return {"open", "Still on, came back or new", StripLegend() + articles};
}

Section UnprovenSection(const Comparison& comparison) {
  const Html articles = WarningArticles(comparison, kUnproven);
  if (articles.empty()) return {};
  Html body = Tag("p", "The recordings do not show that these are gone. Not seen is not cleared.");
  const Html steps = PlanSteps(MakeTestPlan(comparison));
  if (!steps.empty()) {
    body += Tag("h3", "What to do on the next recording") +
            Tag("p",
                "The shortest list that would prove them, each counted while the warning is off. "
                "Do only what the maker's instructions and the cautions allow.") +
            steps + Tag("h3", "One by one");
  }
  return {"not-proven", "Not proven", body + articles};
}

Section ClearedSection(const Comparison& comparison) {
  const Html articles = WarningArticles(comparison, kCleared);
  if (articles.empty()) return {};
  return {"cleared", "Cleared",
          Tag("p",
              "Set before, off and known at the end, and proven: the after-session contained "
              "what the definition file asks for, or the control unit says that its own test "
              "of the code ran and passed.") +
              articles};
}

Section PlotSection(const Comparison& comparison, std::span<const Recording> recordings,
                    Charts& charts) {
  if (comparison.after.definitions == nullptr) return {};
  const decoders::Definitions& definitions = *comparison.after.definitions;
  std::vector<std::string> names;
  for (const analysis::WarningVerdict& warning : comparison.warnings) {
    names.push_back(warning.name);
  }
  const auto signals = FigureSignals(definitions, names, recordings);
  return {"evidence", "Evidence", SignalFigures(definitions, signals, recordings, charts)};
}

Html ChangeSheets(const Comparison& comparison) {
  Html html;
  for (const Sheet& sheet : ComparisonSheets(comparison, true)) html += SheetHtml(sheet);
  return html;
}

Html DoubtOf(const Comparison& comparison) {
  const std::string doubt = OrderDoubt(comparison);
  return doubt.empty() ? Html() : Tag("p", Tag("strong", Capital(doubt)));
}

// What several checks say of one place, then what to do.
Html NextList(const Comparison& comparison) {
  Html html;
  for (const std::string& joined : JoinedFindings(comparison)) html += Tag("p", joined);
  Html items;
  for (const std::string& step : NextSteps(comparison)) items += Tag("li", step);
  if (items.empty()) return html;
  return html + Tag("p", Tag("strong", "What to do next")) + Tag("ol", items);
}

std::string Kicker(const Comparison& comparison) {
  const session::Stage stage = comparison.after.header.stage;
  const std::string what = stage == session::Stage::kAfterRepair   ? "What the repair changed: "
                           : stage == session::Stage::kAfterUpdate ? "What the update changed: "
                                                                   : "What changed: ";
  return what + RecordingName(comparison.before) + ", then " + RecordingName(comparison.after);
}

}  // namespace

std::string ComparisonReport(const ComparisonReportInput& input) {
  const Comparison& comparison = input.comparison;
  const std::array<Recording, 2> recordings = {
      Recording{"before", &comparison.before, input.before},
      Recording{"after", &comparison.after, input.after}};
  Charts charts;
  ReportPage page;
  page.title = "Before and after";
  page.kicker = Kicker(comparison);
  page.answer = Headline(comparison);
  const std::vector<CautionTopic> topics = ComparisonTopics(comparison);
  page.facts =
      DoubtOf(comparison) + CautionBox(topics) + NextList(comparison) + VerdictCounts(comparison);
  page.sections = {
      OpenSection(comparison),
      UnprovenSection(comparison),
      ClearedSection(comparison),
      {"changes", "What else changed", ChangeSheets(comparison)},
      {"off", "Off in both sessions", WarningTable(comparison, kOffInBoth)},
      PlotSection(comparison, recordings, charts),
      {"recordings", "The recordings", RecordingsTable(recordings) + EventsTable(recordings)},
      CautionSection(CautionsFor(CautionContext::kCompare), topics),
      {"method", "How this was found", ComparisonMethod()},
      {"sources", "Sources", ComparisonSources()}};
  page.footer = "Made by " + input.software +
                " from the files named above. It read what the car's control units sent; it "
                "measured nothing itself.";
  return FormatPage(page, charts);
}

}  // namespace proofdrive::output
