#include "output/comparison_text.h"

#include <algorithm>

#include "analysis/compare/reasons.h"
#include "analysis/compare/test_plan.h"
#include "core/base/text.h"
#include "output/cautions.h"
#include "output/comparison_words.h"
#include "output/table.h"

namespace proofdrive::output {
namespace {

using analysis::Comparison;
using analysis::SessionFindings;
using analysis::Verdict;
using Align = Table::Align;

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

std::string VerdictTable(const Comparison& comparison) {
  Table table({{"VERDICT"}, {"SEVERITY"}, {"WARNING"}, {"WHY"}});
  for (const analysis::WarningVerdict& warning : comparison.warnings) {
    const std::string lead = warning.text.empty() ? "" : warning.text + ": ";
    table.Add({std::string(VerdictName(warning.verdict)),
               std::string(WarningSeverityName(warning.severity)), Printable(warning.name),
               Printable(lead + warning.why)});
  }
  return table.Format();
}

void AddOneSided(const std::vector<analysis::OneSided>& streams, const char* what, Table& table) {
  for (const analysis::OneSided& stream : streams) {
    std::string detail = CountOf(stream.frames, "frame");
    if (stream.may_be_chance) {
      detail += ", may be chance";
    } else if (const std::string period = PeriodText(stream.median_period); !period.empty()) {
      detail += ", one every " + period;
    }
    table.Add({what, stream.stream.bus, StreamText(stream.stream), detail});
  }
}

std::string TrafficText(const Comparison& comparison) {
  const analysis::TrafficComparison& traffic = comparison.traffic;
  Table table({{"CHANGE"}, {"BUS"}, {"IDENTIFIER"}, {"DETAIL"}});
  AddOneSided(traffic.only_before, "only before", table);
  AddOneSided(traffic.only_after, "only after", table);
  for (const analysis::PeriodChange& change : traffic.period) {
    table.Add({"period", change.stream.bus, StreamText(change.stream),
               "one every " + PeriodText(change.before) + " before, " + PeriodText(change.after) +
                   " after"});
  }
  for (const analysis::LengthChange& change : traffic.length) {
    table.Add({"length", change.stream.bus, StreamText(change.stream),
               LengthsText(change.before) + " before, " + LengthsText(change.after) + " after"});
  }
  const std::string both = FormatCount(traffic.in_both) +
                           (traffic.in_both == 1 ? " identifier was" : " identifiers were") +
                           " seen in both sessions";
  if (table.empty()) {
    return Paragraph("Traffic: ",
                     both + ", with the same period and length; none in only one of them.");
  }
  return "Traffic: " + both + "; what differs:\n\n" + table.Format();
}

// Frames whose counter, checksum or length is wrong, on each side.
std::string FaultText(const Comparison& comparison) {
  if (comparison.after.definitions == nullptr) return "";
  Table table({{"FRAME"},
               {"COUNTER BEFORE", Align::kRight},
               {"AFTER", Align::kRight},
               {"CHECKSUM BEFORE", Align::kRight},
               {"AFTER", Align::kRight},
               {"LENGTH BEFORE", Align::kRight},
               {"AFTER", Align::kRight}});
  for (std::size_t i = 0; i < comparison.after.faults.size(); ++i) {
    const decoders::FrameFaults& a = comparison.before.faults[i];
    const decoders::FrameFaults& b = comparison.after.faults[i];
    if (!a.any() && !b.any()) continue;
    table.Add({comparison.after.definitions->frames[i].name, FormatCount(a.counter_faults),
               FormatCount(b.counter_faults), FormatCount(a.checksum_faults),
               FormatCount(b.checksum_faults), FormatCount(a.wrong_length),
               FormatCount(b.wrong_length)});
  }
  return table.empty() ? "" : "\nFrames with faults\n\n" + table.Format();
}

std::string OrDash(const std::string& text) { return text.empty() ? "-" : Printable(text); }

// What the next recording must contain, numbered.
std::string PlanText(const Comparison& comparison) {
  const analysis::TestPlan plan = analysis::MakeTestPlan(comparison);
  if (plan.empty()) return "";
  std::string text = "To prove what is open, on the next recording:\n";
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
  row("length", [](const auto& s) { return analysis::SpokenDuration(s.length); });
  row("frames", [](const auto& s) { return FormatCount(s.frames); });
  row("condition", ConditionOf);
  return table.Format() + Paragraph("definitions: ", DefinitionsUsed(b));
}

std::string CautionText() {
  std::string text = "Before you touch, charge or drive:\n";
  for (const Caution& caution : CautionsFor(CautionContext::kCompare)) {
    text += Paragraph("  - ", caution.text);
  }
  return text;
}

}  // namespace

std::string Headline(const Comparison& comparison) {
  if (comparison.after.definitions == nullptr) {
    return "No warning could be judged: there are no definition files, given or stored; only the "
           "traffic is compared.";
  }
  const std::size_t total = comparison.warnings.size();
  if (total == 0) {
    return "No warning could be judged: the definition files define none; only the traffic is "
           "compared.";
  }
  if (total == 1)
    return CountPhrase("The only warning", true, comparison.warnings[0].verdict) + ".";
  const std::size_t cleared = comparison.Count(Verdict::kCleared);
  const std::string who = cleared == 0 ? "None" : std::to_string(cleared);
  const std::string of_all = (cleared == 0 ? " of the " : " of ") + CountOf(total, "warning");
  std::vector<std::string> parts = {CountPhrase(who + of_all, cleared <= 1, Verdict::kCleared)};
  for (const Verdict verdict : analysis::kAllVerdicts) {
    const std::size_t count = comparison.Count(verdict);
    if (verdict == Verdict::kCleared || count == 0) continue;
    parts.push_back(CountPhrase(std::to_string(count), count == 1, verdict));
  }
  return Enumerate(parts) + ".";
}

std::string FormatComparison(const Comparison& comparison) {
  std::string text = Paragraph("", Headline(comparison)) + "\n";
  if (!comparison.warnings.empty()) text += VerdictTable(comparison) + "\n";
  text += PlanText(comparison);
  return text + TrafficText(comparison) + FaultText(comparison) + "\n" + CautionText() + "\n" +
         SessionTable(comparison);
}

}  // namespace proofdrive::output
