#include "output/json/decode_and_lint_json.h"

#include <nlohmann/json.hpp>

#include "analysis/fit/findings.h"
#include "analysis/measured/evidence.h"
#include "core/base/json.h"
#include "output/json/json_parts.h"
#include "output/words/signal_words.h"

namespace proofdrive::output {
namespace {

Json SignalJson(const decoders::Signal& signal, const SignalSummary& summary) {
  Json json;
  json["signal"] = signal.name;
  json["unit"] = signal.unit;
  json["values"] = summary.values;
  json["absent"] = summary.absent;
  json["out_of_range"] = summary.out_of_range;
  json["lowest"] = Decoded(summary.lowest);
  json["highest"] = Decoded(summary.highest);
  json["latest"] = Json::array();
  for (std::size_t i = 0; i < summary.latest.size(); ++i) {
    const decoders::Value& value = summary.latest[i];
    const bool number = value.time != WallTime() && value.validity != decoders::Validity::kAbsent;
    std::string state = value.time != WallTime() ? StateText(signal, value) : "";
    if (state.empty()) state = summary.latest_texts[i];
    json["latest"].push_back(
        {{"value", number ? Decoded(value.number) : Json(nullptr)}, {"state", std::move(state)}});
  }
  return json;
}

Json DiagnosticJson(const decoders::Diagnostic& diagnostic) {
  Json json;
  json["level"] = diagnostic.level == decoders::DiagnosticLevel::kError ? "error" : "warning";
  json["file"] = diagnostic.file;
  json["line"] = diagnostic.line;
  json["column"] = diagnostic.column;
  json["message"] = diagnostic.message;
  json["hint"] = diagnostic.hint;
  return json;
}

Json GuessesJson(const decoders::Definitions& definitions) {
  const analysis::Guesses guesses = analysis::GuessesOf(definitions);
  Json json;
  json["signals_with_a_role"] = guesses.count;
  json["signals_without"] = guesses.without_role;
  json["warnings"] = guesses.warnings;
  json["would_settle"] = Json::array();
  for (const analysis::WouldSettle& one : guesses.with_role) {
    json["would_settle"].push_back({{"evidence", one.evidence},
                                    {"can_be_noted", one.can_be_noted},
                                    {"high_voltage", one.high_voltage},
                                    {"signals", one.signals}});
  }
  return json;
}

Json FindingJson(const analysis::FitFinding& finding) {
  Json json;
  json["severity"] = analysis::FitSeverityName(finding.severity);
  json["kind"] = analysis::FitKindName(finding.kind);
  json["frame"] = finding.frame;
  json["signal"] = finding.signal;
  json["bus"] = finding.bus;
  json["seen"] = finding.seen;
  json["definition"] = finding.defined;
  json["file"] = finding.place.file;
  json["line"] = finding.place.line;
  json["try"] = finding.try_next;
  return json;
}

Json FrameFitJson(const decoders::FrameDefinition& frame, const analysis::FrameFit& fit) {
  Json json;
  json["frame"] = frame.name;
  json["frames"] = fit.frames;
  json["decoded"] = fit.decoded;
  json["too_short"] = fit.too_short;
  json["wrong_length"] = fit.wrong_length;
  json["checksum"] = fit.checksum_faults;
  json["counter"] = fit.counter_faults;
  json["lengths"] = LengthsJson(fit.lengths);
  json["period_ms"] = fit.period_frames > 1 ? Json(Milliseconds(fit.median_period)) : Json(nullptr);
  json["every_ms"] = frame.every ? Json(Milliseconds(*frame.every)) : Json(nullptr);
  return json;
}

Json SignalFitJson(const decoders::Signal& signal, const analysis::SignalFit& fit) {
  Json json;
  json["signal"] = signal.name;
  json["frame"] = signal.frame;
  json["unit"] = signal.unit;
  json["values"] = fit.values;
  json["absent"] = fit.absent;
  json["out_of_range"] = fit.out_of_range;
  json["too_short"] = fit.too_short;
  json["without_name"] = fit.unnamed_values;
  json["changes"] = fit.changes;
  json["lowest"] = Decoded(fit.lowest);
  json["highest"] = Decoded(fit.highest);
  return json;
}

Json NotDescribedJson(const analysis::SessionFit& fit) {
  Json list = Json::array();
  for (const analysis::StreamTraffic& traffic : fit.not_described) {
    list.push_back({{"bus", analysis::ChannelLabel(fit.header, traffic.channel)},
                    {"id", FormatId(traffic.id, traffic.flags)},
                    {"extended", (traffic.flags & kExtendedId) != 0},
                    {"frames", traffic.frames},
                    {"period_ms", Milliseconds(traffic.median_period)},
                    {"lengths", LengthsJson(traffic.lengths)}});
  }
  return list;
}

Json FitJson(const analysis::SessionFit& fit) {
  const analysis::FitSummary summary = analysis::JudgeFit(fit);
  Json json;
  json["fit"] = summary.fit;
  json["do_not_fit"] = summary.do_not_fit;
  json["never_seen"] = summary.never_seen;
  json["problems"] = summary.problems;
  json["findings"] = Json::array();
  for (const auto& finding : summary.findings) json["findings"].push_back(FindingJson(finding));
  json["frames"] = Json::array();
  for (std::size_t i = 0; i < fit.defined.size(); ++i) {
    json["frames"].push_back(FrameFitJson(fit.definitions->frames[i], fit.defined[i]));
  }
  json["signals"] = Json::array();
  for (std::size_t i = 0; i < fit.signals.size(); ++i) {
    json["signals"].push_back(SignalFitJson(fit.definitions->signals[i], fit.signals[i]));
  }
  json["not_described"] = NotDescribedJson(fit);
  return json;
}

}  // namespace

std::string SummaryJson(const SessionSummary& summary) {
  Json json;
  json["frames"] = summary.frames;
  json["not_described"] = summary.not_described;
  json["length_s"] = Seconds(summary.length);
  json["signals"] = Json::array();
  for (std::size_t i = 0; i < summary.signals.size(); ++i) {
    if (!summary.chosen[i]) continue;
    json["signals"].push_back(SignalJson(summary.definitions->signals[i], summary.signals[i]));
  }
  json["faults"] = FaultsJson(*summary.definitions, summary.faults);
  return DumpJsonDocument(json);
}

std::string LintJson(const decoders::Definitions* definitions,
                     const std::vector<decoders::Diagnostic>& diagnostics,
                     const analysis::SessionFit* fit) {
  Json json;
  json["ok"] = definitions != nullptr;
  json["frames"] = definitions == nullptr ? 0 : definitions->frames.size();
  json["signals"] = definitions == nullptr ? 0 : definitions->signals.size();
  json["warnings"] = definitions == nullptr ? 0 : definitions->warnings.size();
  json["diagnostics"] = Json::array();
  for (const auto& one : diagnostics) json["diagnostics"].push_back(DiagnosticJson(one));
  if (definitions != nullptr) json["guesses"] = GuessesJson(*definitions);
  if (fit != nullptr) json["against"] = FitJson(*fit);
  return DumpJsonDocument(json);
}

}  // namespace proofdrive::output
