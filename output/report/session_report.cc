#include "output/report/session_report.h"

#include <algorithm>

#include "analysis/standing/footing.h"
#include "analysis/verdicts/reasons.h"
#include "core/base/text.h"
#include "output/report/check_section.h"
#include "output/report/method.h"
#include "output/report/page.h"
#include "output/report/session_tables.h"
#include "output/report/signal_figures.h"
#include "output/report/strips.h"
#include "output/text/checks_text.h"
#include "output/text/coverage_text.h"
#include "output/words/comparison_words.h"
#include "output/words/topics.h"

namespace proofdrive::output {
namespace {

using analysis::SessionFindings;
using decoders::WarningHistory;
using decoders::WarningSpan;
using decoders::WarningStateKind;

// More stretches than this are summed up.
constexpr std::size_t kMostSpans = 8;

bool WasOn(const WarningHistory& history) {
  return history.on > Duration(0) || history.times_set > 0;
}

// What stands under everything that is said of the warnings.
analysis::CommonFooting CommonOf(const SessionFindings& findings) {
  analysis::CommonFooting common;
  for (std::size_t i = 0; i < findings.warnings.size(); ++i) {
    if (findings.warnings[i].known == Duration(0)) continue;
    common.Add(analysis::FootingOf(*findings.definitions, findings.definitions->warnings[i]));
  }
  return common;
}

// What is added to a sentence about each; empty when the headline says it of all.
std::vector<std::string> ProvisosOf(const SessionFindings& findings) {
  std::vector<std::string> provisos(findings.warnings.size());
  if (CommonOf(findings).IsAllGuesses()) return provisos;
  for (std::size_t i = 0; i < provisos.size(); ++i) {
    if (findings.warnings[i].known == Duration(0)) continue;
    const decoders::Warning& warning = findings.definitions->warnings[i];
    provisos[i] = analysis::ProvisoOf(analysis::FootingOf(*findings.definitions, warning));
  }
  return provisos;
}

// What was last known of it.
bool OnAtEnd(const WarningHistory& history) {
  for (auto span = history.spans.rbegin(); span != history.spans.rend(); ++span) {
    if (span->kind != WarningStateKind::kUnknown) return span->kind == WarningStateKind::kOn;
  }
  return false;
}

// "from 5 s to 92 s".
std::string Times(const WarningHistory& history, WallTime start) {
  std::vector<std::string> parts;
  std::size_t more = 0;
  for (const WarningSpan& span : history.spans) {
    if (span.kind != WarningStateKind::kOn) continue;
    if (parts.size() == kMostSpans) {
      ++more;
      continue;
    }
    parts.push_back("from " + SpokenDuration(span.from - start) + " to " +
                    SpokenDuration(span.to - start));
  }
  if (more > 0) parts.push_back(FormatCount(more) + " more times");
  return "On " + Enumerate(parts);
}

Html Article(const SessionFindings& findings, std::size_t index, const std::string& proviso) {
  const decoders::Warning& warning = findings.definitions->warnings[index];
  const WarningHistory& history = findings.warnings[index];
  const bool on = OnAtEnd(history);
  const Html label = Tag(
      "p", Tag("span", {{"class", "verdict"}},
               on ? Html::Markup("&#9679; on when last known")
                  : Html::Markup("&#8211; was on, off when last known")) +
               Tag("span", {{"class", "severity"}},
                   Html::Text("severity: " + std::string(WarningSeverityName(warning.severity)))));
  return Tag("article", {{"class", on ? "warning open" : "warning unproven"}},
             label + Tag("h3", warning.text.empty() ? warning.name : warning.text) +
                 Tag("p", Times(history, findings.start) + proviso + ".") +
                 Tag("p", {{"class", "id"}}, Html::Text(warning.name)) +
                 StateStrip(history, findings.start, findings.length) +
                 StripAxis(findings.length)) +
         Html::Markup("\n");
}

// Indices of warnings that were on, stop before soon before note, those still on first.
std::vector<std::size_t> SetWarnings(const SessionFindings& findings) {
  std::vector<std::size_t> set;
  for (std::size_t i = 0; i < findings.warnings.size(); ++i) {
    if (WasOn(findings.warnings[i])) set.push_back(i);
  }
  const auto rank = [&](std::size_t i) {
    return std::pair(-static_cast<int>(findings.definitions->warnings[i].severity),
                     !OnAtEnd(findings.warnings[i]));
  };
  std::stable_sort(set.begin(), set.end(),
                   [&](std::size_t a, std::size_t b) { return rank(a) < rank(b); });
  return set;
}

Section OnSection(const SessionFindings& findings) {
  Html articles;
  const std::vector<std::string> provisos = ProvisosOf(findings);
  for (const std::size_t index : SetWarnings(findings)) {
    articles += Article(findings, index, provisos[index]);
  }
  if (articles.empty()) return {};
  return {"on", "What was on, and when", StripLegend() + articles};
}

void AddWarning(const decoders::Warning& warning, const std::string& seen, HtmlTable& table) {
  table.Add({Html::Text(warning.text.empty() ? warning.name : warning.text),
             Tag("span", {{"class", "id"}}, Html::Text(warning.name)), Html::Text(seen)});
}

// Why nothing is known of it: its frames never came, or what the evaluator says.
std::string WhyNotKnown(const WarningHistory& history, const analysis::WarningSource& source) {
  if (!source.silent.empty()) {
    return "never received: " + std::string(source.silent.size() == 1 ? "frame " : "frames ") +
           Enumerate(source.silent);
  }
  return "never known" + (history.why_unknown.empty() ? "" : ": " + history.why_unknown);
}

Section UnknownSection(const SessionFindings& findings) {
  HtmlTable table({"warning", "name", "why"});
  for (std::size_t i = 0; i < findings.warnings.size(); ++i) {
    if (WasOn(findings.warnings[i]) || findings.warnings[i].known > Duration(0)) continue;
    AddWarning(findings.definitions->warnings[i],
               WhyNotKnown(findings.warnings[i], findings.sources[i]), table);
  }
  if (table.empty()) return {};
  return {"not-known", "Could not be judged",
          Tag("p", "Nothing is known of these: they were neither on nor off.") + table.Format()};
}

Section QuietSection(const SessionFindings& findings) {
  HtmlTable table({"warning", "name", "seen"});
  const std::vector<std::string> provisos = ProvisosOf(findings);
  for (std::size_t i = 0; i < findings.warnings.size(); ++i) {
    const WarningHistory& history = findings.warnings[i];
    if (WasOn(history) || history.known == Duration(0)) continue;
    AddWarning(findings.definitions->warnings[i],
               "off for " + SpokenDuration(history.known) + " of " +
                   SpokenDuration(findings.length) + provisos[i],
               table);
  }
  if (table.empty()) return {};
  return {"never-on", "Never on in this recording",
          Tag("p",
              "Off means that its condition did not hold in what was received, not that "
              "it was put to the test.") +
              table.Format()};
}

Section PlotSection(const SessionReportInput& input, std::span<const Recording> recordings,
                    Charts& charts) {
  const SessionFindings& findings = input.findings;
  if (findings.definitions == nullptr) return {};
  std::vector<std::uint32_t> signals = input.signals;
  if (signals.empty()) {
    std::vector<std::string> names;
    for (const std::size_t index : SetWarnings(findings)) {
      names.push_back(findings.definitions->warnings[index].name);
    }
    signals = FigureSignals(*findings.definitions, names, recordings);
  }
  return {"plots", "Signals", SignalFigures(*findings.definitions, signals, recordings, charts)};
}

// What they say of the signals stands with the checks.
Section MeasuredSection(const std::vector<session::Measurement>& measured) {
  if (measured.empty()) return {};
  HtmlTable table({"when", "what", "how"});
  for (const session::Measurement& one : measured) {
    table.Add({Html::Text(FormatWallTime(one.at, 0)), Html::Text(one.text), Html::Text(one.how)});
  }
  return {
      "measured", "Measured by hand",
      Tag("p", "Noted by a person beside the recording, which does not show it.") + table.Format()};
}

Section NetworkSection(const SessionFindings& findings) {
  Html body = BusTable(findings);
  const Html gaps = GapTable(findings);
  if (!gaps.empty()) {
    body += Tag("h3", "Silences far longer than the period") + gaps;
  }
  return {"buses", "Buses and gaps", body};
}

// Of the checks, and of what was on.
std::vector<CautionTopic> TopicsOf(const SessionReportInput& input) {
  std::vector<CautionTopic> topics = CheckTopics(input.checks);
  for (const std::size_t index : SetWarnings(input.findings)) {
    const decoders::Definitions& definitions = *input.findings.definitions;
    topics.push_back(WarningTopic(definitions, definitions.warnings[index].name));
  }
  return topics;
}

// What could be judged comes first.
std::string NoneWasOn(std::size_t known, std::size_t unknown, const std::string& all) {
  if (unknown == 0) return "None of the " + all + " was on.";
  if (known == 0) return "0 of " + all + " could be judged: what they depend on was not received.";
  return std::to_string(known) + " of " + all +
         " could be judged: " + (known == 1 ? "it was off" : "they were off") + "; " +
         std::to_string(unknown) + " could not.";
}

}  // namespace

std::string SessionHeadline(const SessionFindings& findings) {
  if (findings.definitions == nullptr) {
    return "Nothing could be decoded: there are no definition files, given or stored; only the "
           "traffic is shown.";
  }
  const analysis::Coverage coverage = analysis::CoverageOf(findings);
  if (coverage.Nothing()) return CoverageText(coverage);
  const std::string few = CoverageText(coverage);
  const std::string described = few.empty() ? "" : " " + few;
  if (findings.warnings.empty()) {
    return "No warning could be judged: the definition files define none." + described;
  }
  std::size_t on = 0, last = 0, unknown = 0, unsure = 0;
  for (const std::string& proviso : ProvisosOf(findings)) unsure += proviso.empty() ? 0U : 1U;
  for (const WarningHistory& history : findings.warnings) {
    if (WasOn(history)) ++on;
    if (OnAtEnd(history)) ++last;
    if (history.known == Duration(0)) ++unknown;
  }
  const std::string all = CountOf(findings.warnings.size(), "warning");
  std::string guesses = CommonOf(findings).Sentence("definitions", "warnings");
  if (!guesses.empty()) guesses += " ";
  const std::string after = (unsure == 0 ? "" : " " + RestOnGuesses(unsure, "warning")) + described;
  if (on == 0) {
    return guesses + NoneWasOn(findings.warnings.size() - unknown, unknown, all) + after;
  }
  std::string text = std::to_string(on) + " of " + all + (on == 1 ? " was on" : " were on");
  text += last == 0 ? ", none when last known" : ", " + std::to_string(last) + " when last known";
  if (unknown > 0) {
    text += "; " + std::to_string(unknown) + " could not be judged";
  }
  return guesses + text + "." + after;
}

std::string SessionReport(const SessionReportInput& input) {
  const SessionFindings& findings = input.findings;
  const Recording recording{"", &findings, input.file};
  const std::span<const Recording> recordings(&recording, 1);
  Charts charts;
  ReportPage page;
  page.title = "Recording";
  page.kicker = "One recording: " + RecordingName(findings);
  page.answer = SessionHeadline(findings);
  const analysis::Coverage coverage = analysis::CoverageOf(findings);
  const std::vector<CautionTopic> topics = TopicsOf(input);
  page.facts = CautionBox(topics) + CheckLine(input.checks, coverage) + TripTable(findings);
  // Charts are numbered as they are added: in the order of the page, not in the compiler's.
  Section checks = coverage.Nothing() ? Section() : CheckSection(input.checks, charts);
  Section plots = PlotSection(input, recordings, charts);
  page.sections = {OnSection(findings),
                   UnknownSection(findings),
                   QuietSection(findings),
                   std::move(checks),
                   MeasuredSection(input.measured),
                   {"events", "Marks and events", EventsTable(recordings)},
                   {"figures", "Lowest and highest", RoleTable(findings)},
                   std::move(plots),
                   NetworkSection(findings),
                   {"recordings", "The recording", RecordingsTable(recordings)},
                   CautionSection(CheckCautions(), topics),
                   {"method", "How this was found", SessionMethod()},
                   {"sources", "Sources", SessionSources()}};
  page.footer = "Made by " + input.software +
                " from the file named above. It read what the car's control units sent; it "
                "measured nothing itself.";
  return FormatPage(page, charts);
}

}  // namespace proofdrive::output
