#include "output/text/comparison_text.h"

#include <algorithm>
#include <map>

#include "analysis/compare/test_plan.h"
#include "analysis/findings/coverage.h"
#include "analysis/verdicts/reasons.h"
#include "core/base/text.h"
#include "output/sheet/comparison_sheet.h"
#include "output/sheet/sheet_text.h"
#include "output/sheet/table.h"
#include "output/text/checks_text.h"
#include "output/text/coverage_text.h"
#include "output/words/cautions.h"
#include "output/words/comparison_words.h"

namespace proofdrive::output {
namespace {

using analysis::Comparison;
using analysis::SessionFindings;
using analysis::Verdict;

// "2 are still on".
std::string CountPhrase(const std::string& who, bool one, Verdict verdict) {
  switch (verdict) {
    case Verdict::kCameBack:
      return who + " came back";
    case Verdict::kNoEvidence:
      return who + (one ? " has no evidence" : " have no evidence");
    case Verdict::kOffInBoth:
      return who + (one ? " was" : " were") + " off in both sessions";
    default:
      return who + (one ? " is " : " are ") + std::string(VerdictName(verdict));
  }
}

// Codes that were set in neither session: one line for all of a unit.
std::string QuietCodes(const Comparison& comparison) {
  std::map<std::string, std::vector<std::string>> by_unit;
  for (const analysis::CodeVerdict& code : comparison.codes) {
    if (code.verdict == Verdict::kOffInBoth) by_unit[code.unit].push_back(code.name);
  }
  std::string text;
  for (const auto& [unit, codes] : by_unit) {
    text += Paragraph(
        "", Printable("Set in neither session: " + Enumerate(codes) + " of " + unit + "."));
  }
  return text.empty() ? "" : text + "\n";
}

std::string VerdictTable(const Comparison& comparison) {
  Table table({{"VERDICT"}, {"SEVERITY"}, {"WARNING OR CODE"}, {"WHY"}});
  for (const analysis::Judged* one : comparison.InOrder()) {
    const bool code = one->kind == analysis::Judged::Kind::kCode;
    if (code && one->verdict == Verdict::kOffInBoth) continue;
    const std::string lead = one->text.empty() ? "" : one->text + ": ";
    table.Add({std::string(VerdictName(one->verdict)),
               std::string(WarningSeverityName(one->severity)), Printable(one->Label()),
               Printable(lead + one->Reason())});
  }
  return (table.empty() ? "" : table.Format() + "\n") + QuietCodes(comparison);
}

std::string OrDash(const std::string& text) { return text.empty() ? "-" : Printable(text); }

// What the next recording must contain, numbered.
std::string PlanText(const Comparison& comparison) {
  const analysis::TestPlan plan = analysis::MakeTestPlan(comparison);
  if (plan.empty()) return "";
  std::string text = Paragraph("",
                               "To prove what is open, on the next recording, as far as the "
                               "maker's instructions and the cautions below allow it:");
  std::size_t number = 0;
  for (const analysis::PlanStep& step : plan.steps) {
    text += Paragraph("  " + std::to_string(++number) + ". ",
                      Printable(step.Sentence() + ": proves " + Enumerate(step.proves)));
  }
  for (const analysis::PlanObstacle& obstacle : plan.obstacles) {
    text += Paragraph("  - ", Printable(Enumerate(obstacle.warnings) + ": " + obstacle.what));
  }
  return text + "\n";
}

std::string SessionTable(const Comparison& comparison) {
  const SessionFindings& a = comparison.before;
  const SessionFindings& b = comparison.after;
  Table table({{"SESSION"}, {"BEFORE"}, {"AFTER"}});
  const auto row = [&](const char* what, auto&& text) { table.Add({what, text(a), text(b)}); };
  row("id", [](const auto& s) { return OrDash(s.header.id); });
  row("name", [](const auto& s) { return OrDash(s.header.name); });
  row("stage", [](const auto& s) { return OrDash(std::string(StageName(s.header.stage))); });
  row("vehicle", [](const auto& x) { return OrDash(VehicleOf(x)); });
  row("start", [](const auto& s) { return s.frames == 0 ? "-" : FormatWallTime(s.start, 0); });
  row("length", [](const auto& s) { return SpokenDuration(s.length); });
  row("frames", [](const auto& s) { return FormatCount(s.frames); });
  row("condition", ConditionOf);
  return table.Format() + Paragraph("definitions: ", DefinitionsJudging(a, b));
}

std::string CautionText() {
  std::string text = "Before you touch, charge or drive:\n";
  for (const Caution& caution : CautionsFor(CautionContext::kCompare)) {
    text += Paragraph("  - ", caution.text);
  }
  return text;
}

std::string CountedAs(const Comparison& comparison, std::size_t count) {
  if (comparison.codes.empty()) return CountOf(count, "warning");
  return comparison.warnings.empty() ? CountOf(count, "trouble code")
                                     : FormatCount(count) + " warnings and trouble codes";
}

// "1 of 3 warnings is still on and 2 are not proven."
std::string Counts(const Comparison& comparison) {
  const auto all = comparison.InOrder();
  if (all.size() == 1) {
    const bool code = all[0]->kind == analysis::Judged::Kind::kCode;
    return CountPhrase(code ? "The only trouble code" : "The only warning", true, all[0]->verdict) +
           ".";
  }
  std::vector<std::string> parts;
  const auto add = [&](Verdict verdict) {
    const std::size_t count = comparison.Count(verdict);
    if (count == 0) return;
    const std::string of_all = parts.empty() ? " of " + CountedAs(comparison, all.size()) : "";
    parts.push_back(CountPhrase(std::to_string(count) + of_all, count == 1, verdict));
  };
  add(Verdict::kCleared);
  for (const Verdict verdict : analysis::kAllVerdicts) {
    if (verdict != Verdict::kCleared) add(verdict);
  }
  return Enumerate(parts) + ".";
}

// What control units told is judged without definitions of frames.
std::string NothingDescribed(const Comparison& comparison) {
  std::string text = CoverageText(analysis::CoverageOf(comparison.after));
  if (!comparison.codes.empty()) {
    text += " What control units told of " + CountOf(comparison.codes.size(), "trouble code") +
            " is compared below.";
  }
  return text;
}

// Where the after-session is described and the other one is not, or little of either.
std::string CoverageOfBoth(const Comparison& comparison) {
  const analysis::Coverage one = analysis::CoverageOf(comparison.before);
  const analysis::Coverage two = analysis::CoverageOf(comparison.after);
  const bool same = one.identifiers == two.identifiers && one.described == two.described;
  std::string text = same ? "" : CoverageText(one, "the before-session");
  const std::string after = CoverageText(two, same ? "either session" : "the after-session");
  if (!text.empty() && !after.empty()) text += " ";
  text += after;
  return text.empty() || !comparison.warnings.empty() ? text : text + " ";
}

}  // namespace

std::string Headline(const Comparison& comparison) {
  if (analysis::CoverageOf(comparison.after).Nothing()) return NothingDescribed(comparison);
  std::string text = CoverageOfBoth(comparison);
  if (comparison.after.definitions == nullptr) {
    text +=
        "No warning could be judged: there are no definition files, given or stored; what control "
        "units told and the traffic are compared.";
  } else if (comparison.warnings.empty()) {
    text +=
        "No warning could be judged: the definition files define none; what control units told, "
        "signals and traffic are compared.";
  }
  if (comparison.InOrder().empty()) return text;
  const std::string guesses = comparison.AllGuessesSentence();
  const std::size_t unsure = comparison.VerdictsWithProviso();
  return guesses + (guesses.empty() ? "" : " ") + Counts(comparison) +
         (unsure == 0 ? "" : " " + RestOnGuesses(unsure, "verdict")) +
         (text.empty() ? "" : " " + text);
}

std::string FormatComparison(const Comparison& comparison) {
  std::string text = Paragraph("", Headline(comparison)) + "\n";
  if (!analysis::CoverageOf(comparison.after).Nothing()) text += VerdictTable(comparison);
  text += PlanText(comparison);
  for (const Sheet& sheet : ComparisonSheets(comparison)) text += SheetText(sheet) + "\n";
  return text + CautionText() + "\n" + SessionTable(comparison);
}

}  // namespace proofdrive::output
