#include "output/report/warning_articles.h"

#include <algorithm>

#include "core/base/text.h"
#include "decoders/services/trouble_code.h"
#include "output/report/strips.h"
#include "output/words/comparison_words.h"

namespace proofdrive::output {
namespace {

using analysis::CodeVerdict;
using analysis::Comparison;
using analysis::Judged;
using analysis::SessionFindings;
using analysis::Verdict;

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
      return "severity: soon";
    case decoders::WarningSeverity::kNote:
      return "severity: note";
  }
  return "";
}

std::string TitleOf(const Judged& one) { return one.text.empty() ? one.name : Capital(one.text); }

std::string Sentence(std::string text) { return Capital(std::move(text)) + "."; }

Html StripOf(const SessionFindings& findings, const std::string& name, const char* side) {
  const auto index = findings.definitions ? findings.definitions->FindWarning(name) : std::nullopt;
  if (!index || *index >= findings.warnings.size()) return {};
  return Tag("div", Tag("span", {{"class", "side"}}, Html::Text(side)) +
                        StateStrip(findings.warnings[*index], findings.start, findings.length) +
                        StripAxis(findings.length));
}

// The bits of the status byte in words, on both sides.
Html StatusOf(const analysis::CodeEvidence& evidence, const char* side) {
  if (!evidence.last || !evidence.last->status) return {};
  const auto words =
      decoders::StatusInWords(*evidence.last->status, evidence.available.value_or(0xFF));
  const std::string text = words.empty() ? "no bit of the status byte is set" : Join(words, "; ");
  return Tag("p", {{"class", "side"}}, Html::Text(std::string(side) + ": " + text));
}

Html DetailsOf(const Comparison& comparison, const Judged& one) {
  if (one.kind == Judged::Kind::kCode) {
    const auto& code = static_cast<const CodeVerdict&>(one);
    return StatusOf(code.before, "Status before") + StatusOf(code.after, "Status after");
  }
  return Tag("div", {{"class", "pair"}},
             StripOf(comparison.before, one.name, "before") +
                 StripOf(comparison.after, one.name, "after"));
}

Html Article(const Comparison& comparison, const Judged& one) {
  const Html label =
      Tag("p", Tag("span", {{"class", "verdict"}},
                   Sign(one.verdict) + Html::Text(VerdictName(one.verdict))) +
                   Tag("span", {{"class", "severity"}}, Html::Text(SeverityWords(one.severity))));
  const std::string what = one.kind == Judged::Kind::kCode ? "trouble code " : "";
  return Tag("article", {{"class", "warning " + ClassOf(one.verdict)}},
             label + Tag("h3", TitleOf(one)) + Tag("p", Sentence(one.Reason())) +
                 Tag("p", {{"class", "id"}}, Html::Text(what + one.Label())) +
                 DetailsOf(comparison, one)) +
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
  for (const Judged* one : comparison.InOrder()) {
    if (IsOneOf(verdicts, one->verdict)) html += Article(comparison, *one);
  }
  return html;
}

Html WarningTable(const Comparison& comparison, std::span<const Verdict> verdicts) {
  HtmlTable table({"warning or code", "name", "why"});
  for (const Judged* one : comparison.InOrder()) {
    if (!IsOneOf(verdicts, one->verdict)) continue;
    table.Add({Html::Text(TitleOf(*one)), Tag("span", {{"class", "id"}}, Html::Text(one->Label())),
               Html::Text(Sentence(one->Reason()))});
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
