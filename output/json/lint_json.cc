#include "output/json/lint_json.h"

#include <nlohmann/json.hpp>

#include "analysis/fit/judge_fit.h"
#include "analysis/measured/evidence.h"
#include "core/base/json.h"
#include "output/json/json_parts.h"
#include "output/words/signal_words.h"

namespace proofdrive::output {
namespace {

Json DiagnosticJson(const decoders::Diagnostic& diagnostic) {
  return {{"level", diagnostic.level == decoders::DiagnosticLevel::kError ? "error" : "warning"},
          {"file", diagnostic.file},
          {"line", diagnostic.line},
          {"column", diagnostic.column},
          {"message", diagnostic.message},
          {"hint", diagnostic.hint}};
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
  return {{"severity", analysis::FitSeverityName(finding.severity)},
          {"kind", analysis::FitKindName(finding.kind)},
          {"frame", finding.frame},
          {"signal", finding.signal},
          {"bus", finding.bus},
          {"seen", finding.seen},
          {"definition", finding.defined},
          {"file", finding.place.file},
          {"line", finding.place.line},
          {"try", finding.try_next}};
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
  json["checksum_contents"] = frame.checksum ? Json(fit.checksum_contents) : Json(nullptr);
  json["counter_steps"] = frame.counter ? Json(fit.counter_steps) : Json(nullptr);
  json["lengths"] = LengthsJson(fit.lengths);
  json["period_ms"] = fit.period_frames > 1 ? Json(Milliseconds(fit.median_period)) : Json(nullptr);
  json["every_ms"] = frame.every ? Json(Milliseconds(*frame.every)) : Json(nullptr);
  return json;
}

Json SignalFitJson(const decoders::Signal& signal, const analysis::SignalFit& fit) {
  return {{"signal", signal.name},
          {"frame", signal.frame},
          {"unit", signal.unit},
          {"values", fit.values},
          {"absent", fit.absent},
          {"out_of_range", fit.out_of_range},
          {"too_short", fit.too_short},
          {"without_name", fit.unnamed_values},
          {"changes", fit.changes},
          {"lowest", Decoded(fit.lowest)},
          {"highest", Decoded(fit.highest)}};
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
  json["not_tested"] = summary.not_tested;
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
