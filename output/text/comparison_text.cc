#include "output/text/comparison_text.h"

#include <algorithm>
#include <map>

#include "analysis/compare/test_plan.h"
#include "analysis/findings/coverage.h"
#include "analysis/verdicts/reasons.h"
#include "core/base/text.h"
#include "output/sheet/caution_text.h"
#include "output/sheet/comparison_sheet.h"
#include "output/sheet/sheet_text.h"
#include "output/sheet/table.h"
#include "output/text/checks_text.h"
#include "output/text/coverage_text.h"
#include "output/words/cautions.h"
#include "output/words/comparison_words.h"
#include "output/words/next_steps.h"
#include "output/words/topics.h"

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

// Warnings that were off in both: a line for all of them.
std::string QuietWarnings(const Comparison& comparison) {
  std::vector<std::string> names;
  for (const analysis::WarningVerdict& warning : comparison.warnings) {
    if (warning.verdict == Verdict::kOffInBoth) names.push_back(warning.name);
  }
  if (names.empty()) return "";
  return Paragraph("", "Off in both sessions: " + Enumerate(names) + ".") + "\n";
}

// What a cleared one was needs no evidence on the page; what its verdict stands on it does.
std::string Why(const analysis::Judged& one, bool all) {
  const std::string lead = one.text.empty() ? "" : one.text + ": ";
  if (all || one.verdict != Verdict::kCleared) return lead + one.Reason();
  return lead + "off after, and put to the test" + one.proviso;
}

std::string VerdictTable(const Comparison& comparison, bool all) {
  Table table({{"VERDICT"}, {"SEVERITY"}, {"WARNING OR CODE"}, {"WHY"}});
  for (const analysis::Judged* one : comparison.InOrder()) {
    const bool code = one->kind == analysis::Judged::Kind::kCode;
    if ((code || !all) && one->verdict == Verdict::kOffInBoth) continue;
    table.Add({std::string(VerdictName(one->verdict)),
               std::string(WarningSeverityName(one->severity)), Printable(one->Label()),
               Printable(Why(*one, all))});
  }
  return (table.empty() ? "" : table.Format() + "\n") + (all ? "" : QuietWarnings(comparison)) +
         QuietCodes(comparison);
}

// What to do, in order; what several checks say of one place stands before it.
std::string NextText(const Comparison& comparison) {
  std::string text;
  for (const std::string& joined : JoinedFindings(comparison)) text += Paragraph("", joined) + "\n";
  const std::vector<std::string> steps = NextSteps(comparison);
  if (steps.empty()) return text;
  text += "What to do next:\n";
  std::size_t number = 0;
  for (const std::string& step : steps) {
    text += Paragraph("  " + std::to_string(++number) + ". ", step);
  }
  return text + "\n";
}

std::string OrDash(const std::string& text) { return text.empty() ? "-" : Printable(text); }

// What the next recording must contain, numbered.
std::string PlanText(const Comparison& comparison) {
  const analysis::TestPlan plan = analysis::MakeTestPlan(comparison);
  if (plan.empty()) return "";
  std::string text = Paragraph("",
                               "To prove what is open, on the next recording, as far as the "
                               "maker's instructions and the caution above allow it:");
  for (const analysis::PlanObstacle& obstacle : plan.obstacles) {
    text += Paragraph("  - ", Printable(Enumerate(obstacle.warnings) + ": " + obstacle.what));
  }
  std::size_t number = 0;
  for (const analysis::PlanStep& step : plan.steps) {
    text += Paragraph("  " + std::to_string(++number) + ". ",
                      Printable(step.Sentence() + ": proves " + Enumerate(step.proves)));
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

std::string CountedAs(const Comparison& comparison, std::size_t count) {
  if (comparison.codes.empty()) return CountOf(count, "warning");
  return comparison.warnings.empty() ? CountOf(count, "trouble code")
                                     : FormatCount(count) + " warnings and trouble codes";
}

// "1 of 3 warnings is still on and 2 are not proven." In the order in which they matter.
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
  std::vector<Verdict> told;
  for (const analysis::Judged* one : all) {
    if (std::find(told.begin(), told.end(), one->verdict) != told.end()) continue;
    told.push_back(one->verdict);
    add(one->verdict);
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

std::string FormatComparison(const Comparison& comparison, bool all) {
  const std::vector<CautionTopic> topics = ComparisonTopics(comparison);
  std::string text = Paragraph("", Headline(comparison)) + "\n" + CautionText(topics) + "\n" +
                     NextText(comparison);
  if (!analysis::CoverageOf(comparison.after).Nothing()) text += VerdictTable(comparison, all);
  text += PlanText(comparison);
  for (const Sheet& sheet : ComparisonSheets(comparison, all)) text += SheetText(sheet) + "\n";
  if (all) text += FurtherCautions(CautionsFor(CautionContext::kCompare), topics) + "\n";
  text += SessionTable(comparison);
  if (all) return text;
  return text + "\n" +
         Paragraph(
             "",
             "How each warning that is cleared was put to the test, why a signal is not called "
             "changed, what was off in both sessions, frames with faults, every figure of the "
             "checks and further cautions: add --all.");
}

}  // namespace proofdrive::output
