#include "output/report/warning_articles.h"

#include <algorithm>

#include "core/base/text.h"
#include "output/comparison_words.h"
#include "output/report/strips.h"

namespace proofdrive::output {
namespace {

using analysis::Comparison;
using analysis::SessionFindings;
using analysis::Verdict;
using analysis::WarningVerdict;

// Shape as well as colour: a report may be printed in grey.
Html Sign(Verdict verdict) {
  switch (verdict) {
    case Verdict::kStillOn:
      return Html::Markup("&#9679; ");
    case Verdict::kCameBack:
      return Html::Markup("&#8634; ");
    case Verdict::kNew:
      return Html::Markup("&#9650; ");
    case Verdict::kNotProven:
      return Html::Markup("? ");
    case Verdict::kNoEvidence:
      return Html::Markup("&#8709; ");
    case Verdict::kCleared:
      return Html::Markup("&#10003; ");
    case Verdict::kOffInBoth:
      return Html::Markup("&#8211; ");
  }
  return {};
}

std::string ClassOf(Verdict verdict) {
  if (IsOpen(verdict)) return "open";
  if (IsUnproven(verdict)) return "unproven";
  return verdict == Verdict::kCleared ? "cleared" : "quiet";
}

std::string SeverityWords(decoders::WarningSeverity severity) {
  switch (severity) {
    case decoders::WarningSeverity::kStop:
      return "severity: stop";
    case decoders::WarningSeverity::kSoon:
      return "severity: look soon";
    case decoders::WarningSeverity::kNote:
      return "severity: note";
  }
  return "";
}

std::string TitleOf(const WarningVerdict& warning) {
  return warning.text.empty() ? warning.name : warning.text;
}

std::string Sentence(std::string text) {
  if (!text.empty() && text[0] >= 'a' && text[0] <= 'z') {
    text[0] = static_cast<char>(text[0] - 'a' + 'A');
  }
  return text + ".";
}

Html StripOf(const SessionFindings& findings, const std::string& name, const char* side) {
  const auto index = findings.definitions ? findings.definitions->FindWarning(name) : std::nullopt;
  if (!index || *index >= findings.warnings.size()) return {};
  return Tag("div", Tag("span", {{"class", "side"}}, Html::Text(side)) +
                        StateStrip(findings.warnings[*index], findings.start, findings.length) +
                        StripAxis(findings.length));
}

Html Article(const Comparison& comparison, const WarningVerdict& warning) {
  const Html label = Tag(
      "p", Tag("span", {{"class", "verdict"}},
               Sign(warning.verdict) + Html::Text(VerdictName(warning.verdict))) +
               Tag("span", {{"class", "severity"}}, Html::Text(SeverityWords(warning.severity))));
  const Html strips = Tag("div", {{"class", "pair"}},
                          StripOf(comparison.before, warning.name, "before") +
                              StripOf(comparison.after, warning.name, "after"));
  return Tag("article", {{"class", "warning " + ClassOf(warning.verdict)}},
             label + Tag("h3", TitleOf(warning)) + Tag("p", Sentence(warning.why)) +
                 Tag("p", {{"class", "id"}}, Html::Text(warning.name)) + strips) +
         Html::Markup("\n");
}

bool IsOneOf(std::span<const Verdict> verdicts, Verdict verdict) {
  return std::find(verdicts.begin(), verdicts.end(), verdict) != verdicts.end();
}

Html Step(const analysis::PlanStep& step, bool first_moving) {
  Html html;
  if (first_moving) {
    html += Tag("p", {{"class", "side"}},
                Html::Text("The next ones ask for the car to move: only when the maker's "
                           "instructions allow it, and with a passenger at the recorder."));
  }
  html += Tag(
      "div", {{"class", "step"}},
      Tag("p", Tag("strong", Sentence(step.Sentence()))) +
          Tag("p", {{"class", "side"}},
              Html::Text("Proves " + Enumerate(step.proves) + ". As written: " + step.condition)));
  return html;
}

}  // namespace

Html VerdictCounts(const Comparison& comparison) {
  Html items;
  for (const Verdict verdict : analysis::kAllVerdicts) {
    const std::size_t count = comparison.Count(verdict);
    if (count == 0) continue;
    items += Tag("li", {{"class", "count-" + ClassOf(verdict)}},
                 Tag("b", std::to_string(count)) + Html::Text(VerdictName(verdict)));
  }
  return items.empty() ? Html() : Tag("ul", {{"class", "counts"}}, items);
}

Html WarningArticles(const Comparison& comparison, std::span<const Verdict> verdicts) {
  Html html;
  for (const WarningVerdict& warning : comparison.warnings) {
    if (IsOneOf(verdicts, warning.verdict)) html += Article(comparison, warning);
  }
  return html;
}

Html WarningTable(const Comparison& comparison, std::span<const Verdict> verdicts) {
  HtmlTable table({"warning", "name", "why"});
  for (const WarningVerdict& warning : comparison.warnings) {
    if (!IsOneOf(verdicts, warning.verdict)) continue;
    table.Add({Html::Text(TitleOf(warning)),
               Tag("span", {{"class", "id"}}, Html::Text(warning.name)),
               Html::Text(Sentence(warning.why))});
  }
  return table.empty() ? Html() : table.Format();
}

Html PlanSteps(const analysis::TestPlan& plan) {
  Html html;
  bool moving = false;
  for (const analysis::PlanStep& step : plan.steps) {
    html += Step(step, step.moving && !moving);
    moving |= step.moving;
  }
  for (const analysis::PlanObstacle& obstacle : plan.obstacles) {
    html += Tag("div", {{"class", "step"}},
                Tag("p", Tag("strong", obstacle.what + ".")) +
                    Tag("p", {{"class", "side"}},
                        Html::Text("Concerns " + Enumerate(obstacle.warnings) + ".")));
  }
  return html;
}

}  // namespace proofdrive::output
