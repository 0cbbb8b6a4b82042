#include "output/report/signal_figures.h"

#include <algorithm>
#include <cstdio>
#include <limits>
#include <optional>

#include "analysis/compare/condition_terms.h"
#include "analysis/session/warning_sources.h"
#include "core/base/text.h"
#include "output/words/comparison_words.h"

namespace proofdrive::output {
namespace {

using analysis::SignalRecord;
using analysis::SignalsIn;
using decoders::Definitions;
using decoders::Signal;
using decoders::Warning;

const SignalRecord* RecordOf(const Recording& recording, std::uint32_t signal) {
  const auto& records = recording.findings->signals;
  return signal < records.size() && !records[signal].curve.empty() ? &records[signal] : nullptr;
}

void AddOnce(std::vector<std::uint32_t>& signals, std::uint32_t signal) {
  if (std::find(signals.begin(), signals.end(), signal) == signals.end()) {
    signals.push_back(signal);
  }
}

std::vector<std::uint32_t> SignalsOf(const Definitions& definitions, const Warning& warning) {
  std::vector<std::uint32_t> signals = SignalsIn(definitions, warning.when.text);
  if (warning.proven_by) {
    for (const std::uint32_t signal : SignalsIn(definitions, warning.proven_by->condition.text)) {
      AddOnce(signals, signal);
    }
  }
  return signals;
}

std::vector<const Warning*> WarningsOn(const Definitions& definitions, std::uint32_t signal) {
  std::vector<const Warning*> warnings;
  for (const Warning& warning : definitions.warnings) {
    const auto signals = SignalsIn(definitions, warning.when.text);
    if (std::find(signals.begin(), signals.end(), signal) != signals.end()) {
      warnings.push_back(&warning);
    }
  }
  return warnings;
}

// Silence that breaks the curve: as long as for the warnings.
Duration GapOf(const Definitions& definitions, const Signal& signal) {
  const auto frame = definitions.FindFrame(signal.frame);
  if (!frame) return std::chrono::seconds(3);
  const decoders::FrameDefinition& definition = definitions.frames[*frame];
  if (definition.timeout) return *definition.timeout;
  return definition.every ? 3 * *definition.every : Duration(std::chrono::seconds(1));
}

void AddShades(const analysis::SessionFindings& findings, const Warning& warning, Chart& chart) {
  const auto index = findings.definitions->FindWarning(warning.name);
  if (!index || *index >= findings.warnings.size()) return;
  for (const decoders::WarningSpan& span : findings.warnings[*index].spans) {
    if (span.kind != decoders::WarningStateKind::kOn) continue;
    chart.shaded.push_back({span.from - findings.start, span.to - findings.start});
  }
}

// A warning that comes and goes thousands of times would make the report large.
void LimitShades(std::vector<ChartSpan>& shades) {
  constexpr std::size_t kMost = 300;
  std::sort(shades.begin(), shades.end(),
            [](const ChartSpan& a, const ChartSpan& b) { return a.from < b.from; });
  Duration bridge = std::chrono::milliseconds(100);
  while (shades.size() > kMost) {
    std::vector<ChartSpan> merged;
    for (const ChartSpan& span : shades) {
      if (!merged.empty() && span.from - merged.back().to <= bridge) {
        merged.back().to = std::max(merged.back().to, span.to);
      } else {
        merged.push_back(span);
      }
    }
    shades = std::move(merged);
    bridge *= 2;
  }
}

void AddLevels(const Signal& signal, const Warning& warning, Chart& chart) {
  if (!signal.states.empty()) return;
  for (const analysis::Term& term : analysis::TermsOf(warning.when.text)) {
    const bool whole = term.left == signal.name || term.left.ends_with("(" + signal.name + ")");
    if (!whole || !term.Number()) continue;
    chart.levels.push_back({*term.Number(), warning.name});
  }
}

std::vector<ChartMark> MarksOf(const analysis::SessionFindings& findings) {
  std::vector<ChartMark> marks;
  for (const analysis::SessionEvent& event : findings.events) {
    if (event.event.kind != session::EventKind::kMark) continue;
    marks.push_back({event.at, event.event.text});
  }
  return marks;
}

// The same value axis on both sides, so that they can be compared by eye.
void ShareRange(std::uint32_t signal, std::span<const Recording> recordings, Chart& chart) {
  chart.low = std::numeric_limits<double>::infinity();
  chart.high = -chart.low;
  for (const Recording& one : recordings) {
    const SignalRecord* record = RecordOf(one, signal);
    if (record == nullptr) continue;
    chart.low = std::min(chart.low, record->lowest.value);
    chart.high = std::max(chart.high, record->highest.value);
  }
}

Html PlotOf(const Definitions& definitions, std::uint32_t signal, const Recording& recording,
            std::span<const Recording> recordings, Charts& charts) {
  const Html side = recording.title.empty()
                        ? Html()
                        : Tag("span", {{"class", "side"}}, Html::Text(recording.title));
  const SignalRecord* record = RecordOf(recording, signal);
  if (record == nullptr) return Tag("div", side + Tag("p", "Not received."));
  Chart chart;
  chart.signal = &definitions.signals[signal];
  chart.record = record;
  chart.side = recording.title;
  chart.length = recording.findings->length;
  chart.gap = GapOf(definitions, *chart.signal);
  chart.marks = MarksOf(*recording.findings);
  ShareRange(signal, recordings, chart);
  for (const Warning* warning : WarningsOn(definitions, signal)) {
    AddShades(*recording.findings, *warning, chart);
    AddLevels(*chart.signal, *warning, chart);
  }
  LimitShades(chart.shaded);
  return Tag("div", side + charts.Add(chart));
}

Html Caption(const Definitions& definitions, std::uint32_t index) {
  const Signal& signal = definitions.signals[index];
  Html text = Tag("strong", signal.name);
  std::string rest = signal.unit.empty() ? "" : ", " + signal.unit;
  if (signal.is_series) rest += ", lowest to highest of " + std::to_string(signal.count);
  if (!signal.role.empty()) rest += ", role " + signal.role;
  std::vector<std::string> names;
  for (const Warning* warning : WarningsOn(definitions, index)) names.push_back(warning->name);
  if (!names.empty()) rest += "; shaded while on: " + Enumerate(names);
  return Tag("figcaption", text + Html::Text(rest));
}

// One value throughout, the same in every recording: a row says as much as a plot.
bool NeverChanges(std::uint32_t signal, std::span<const Recording> recordings) {
  std::optional<double> value;
  for (const Recording& one : recordings) {
    const SignalRecord* record = RecordOf(one, signal);
    if (record == nullptr || record->lowest.value != record->highest.value) return false;
    if (value && *value != record->lowest.value) return false;
    value = record->lowest.value;
  }
  return value.has_value();
}

std::string ValueText(const Signal& signal, const SignalRecord& record) {
  for (std::size_t i = 0; i < signal.states.size(); ++i) {
    if (record.state_counts[i] > 0 && record.unnamed == 0) return signal.states[i].name;
  }
  char text[32];
  std::snprintf(text, sizeof(text), "%.6g", record.last);
  return text + (signal.unit.empty() ? "" : " " + signal.unit);
}

Html Help() {
  return Tag("p", {{"class", "screen-only side"}},
             Html::Text(
                 "Drag across a plot to look closer; every plot of that recording follows. ") +
                 Tag("button", {{"class", "reset"}, {"type", "button"}}, Html::Text("Show all"))) +
         Html::Markup("<noscript><p>The plots need JavaScript.</p></noscript>");
}

Html ConstantTable(const Definitions& definitions, std::span<const std::uint32_t> signals,
                   std::span<const Recording> recordings) {
  HtmlTable table({"signal", "value throughout", "role"});
  for (const std::uint32_t index : signals) {
    const Signal& signal = definitions.signals[index];
    table.Add({Tag("span", {{"class", "id"}}, Html::Text(signal.name)),
               Html::Text(ValueText(signal, *RecordOf(recordings.front(), index))),
               Html::Text(signal.role)});
  }
  return table.empty() ? Html() : Tag("h3", "Signals that never changed") + table.Format();
}

}  // namespace

std::vector<std::uint32_t> FigureSignals(const Definitions& definitions,
                                         std::span<const std::string> warnings,
                                         std::span<const Recording> recordings) {
  std::vector<std::uint32_t> wanted;
  for (const std::string& name : warnings) {
    const auto index = definitions.FindWarning(name);
    if (!index) continue;
    for (const std::uint32_t signal : SignalsOf(definitions, definitions.warnings[*index])) {
      AddOnce(wanted, signal);
    }
  }
  for (std::uint32_t i = 0; i < definitions.signals.size(); ++i) {
    if (!definitions.signals[i].role.empty()) AddOnce(wanted, i);
  }
  std::erase_if(wanted, [&](std::uint32_t signal) {
    return std::none_of(recordings.begin(), recordings.end(), [&](const Recording& recording) {
      return RecordOf(recording, signal) != nullptr;
    });
  });
  return wanted;
}

Html SignalFigures(const Definitions& definitions, std::span<const std::uint32_t> signals,
                   std::span<const Recording> recordings, Charts& charts) {
  std::vector<std::uint32_t> moving, constant;
  for (const std::uint32_t signal : signals) {
    (NeverChanges(signal, recordings) ? constant : moving).push_back(signal);
  }
  Html html;
  for (const std::uint32_t signal :
       std::span(moving).first(std::min(moving.size(), kMostFigures))) {
    Html plots;
    for (const Recording& one : recordings) {
      plots += PlotOf(definitions, signal, one, recordings, charts);
    }
    const char* layout = recordings.size() > 1 ? "pair" : "single";
    html += Tag("figure", Caption(definitions, signal) + Tag("div", {{"class", layout}}, plots)) +
            Html::Markup("\n");
  }
  if (!html.empty()) html = Help() + html;
  if (moving.size() > kMostFigures) {
    html += Tag("p", FormatCount(moving.size() - kMostFigures) +
                         " more signals are not plotted; proofdrive decode lists their values.");
  }
  return html + ConstantTable(definitions, constant, recordings);
}

}  // namespace proofdrive::output
