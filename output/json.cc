#include "output/json.h"

#include <cmath>
#include <nlohmann/json.hpp>

#include "analysis/fit/findings.h"
#include "output/csv.h"

namespace proofdrive::output {
namespace {

using analysis::Comparison;
using analysis::SessionFindings;
using analysis::StreamName;
using analysis::WarningEvidence;
using Json = nlohmann::ordered_json;

std::string Dump(const Json& json, int indent) {
  return json.dump(indent, ' ', false, Json::error_handler_t::replace);
}

// Rounded to microseconds: what the recordings resolve.
double Seconds(Duration duration) { return static_cast<double>(duration.count() / 1000) / 1e6; }

double Milliseconds(Duration duration) {
  return static_cast<double>(duration.count() / 1000) / 1e3;
}

Json OptionalSeconds(const std::optional<Duration>& duration) {
  return duration ? Json(Seconds(*duration)) : Json(nullptr);
}

std::string StateAtEnd(const WarningEvidence& evidence) {
  if (!evidence.known_at_end && !(evidence.ever_on && evidence.last_known_on)) return "unknown";
  return evidence.last_known_on ? "on" : "off";
}

Json EvidenceJson(const WarningEvidence& evidence) {
  Json json;
  json["defined"] = evidence.defined;
  json["at_end"] = StateAtEnd(evidence);
  json["length_s"] = Seconds(evidence.length);
  json["known_s"] = Seconds(evidence.known);
  json["on_s"] = Seconds(evidence.on);
  json["times_set"] = evidence.times_set;
  json["first_set_s"] = OptionalSeconds(evidence.first_set);
  json["last_set_s"] = OptionalSeconds(evidence.last_set);
  json["went_off_s"] = OptionalSeconds(evidence.went_off);
  json["proven"] = evidence.proven;
  json["proven_longest_s"] = Seconds(evidence.proven_longest);
  json["why_unknown"] = evidence.why_unknown;
  json["silent_frames"] = evidence.silent;
  return json;
}

Json WarningJson(const analysis::WarningVerdict& warning) {
  Json json;
  json["name"] = warning.name;
  json["kind"] = "warning";
  json["unit"] = "";  // control unit of a trouble code
  json["severity"] = decoders::WarningSeverityName(warning.severity);
  json["verdict"] = analysis::VerdictName(warning.verdict);
  json["why"] = warning.why;
  json["text"] = warning.text;
  json["before"] = EvidenceJson(warning.before);
  json["after"] = EvidenceJson(warning.after);
  return json;
}

Json StreamJson(const StreamName& stream) {
  Json json;
  json["bus"] = stream.bus;
  json["id"] = FormatId(stream.id, stream.flags);
  json["extended"] = (stream.flags & kExtendedId) != 0;
  json["remote"] = (stream.flags & kRemote) != 0;
  json["frame"] = stream.frame;
  return json;
}

Json OneSidedJson(const std::vector<analysis::OneSided>& streams) {
  Json list = Json::array();
  for (const analysis::OneSided& stream : streams) {
    Json json = StreamJson(stream.stream);
    json["frames"] = stream.frames;
    json["period_ms"] = Milliseconds(stream.median_period);
    json["may_be_chance"] = stream.may_be_chance;
    list.push_back(std::move(json));
  }
  return list;
}

Json LengthsJson(const std::map<std::uint8_t, std::uint64_t>& lengths) {
  Json json = Json::object();
  for (const auto& [length, frames] : lengths) json[std::to_string(length)] = frames;
  return json;
}

Json TrafficJson(const analysis::TrafficComparison& traffic) {
  Json json;
  json["only_before"] = OneSidedJson(traffic.only_before);
  json["only_after"] = OneSidedJson(traffic.only_after);
  json["period"] = Json::array();
  for (const analysis::PeriodChange& change : traffic.period) {
    Json one = StreamJson(change.stream);
    one["before_ms"] = Milliseconds(change.before);
    one["after_ms"] = Milliseconds(change.after);
    json["period"].push_back(std::move(one));
  }
  json["length"] = Json::array();
  for (const analysis::LengthChange& change : traffic.length) {
    Json one = StreamJson(change.stream);
    one["before"] = LengthsJson(change.before);
    one["after"] = LengthsJson(change.after);
    json["length"].push_back(std::move(one));
  }
  return json;
}

Json FaultsJson(const decoders::Definitions& definitions,
                const std::vector<decoders::FrameFaults>& faults) {
  Json list = Json::array();
  for (std::size_t i = 0; i < faults.size(); ++i) {
    const decoders::FrameFaults& one = faults[i];
    if (!one.any()) continue;
    list.push_back({{"frame", definitions.frames[i].name},
                    {"frames", one.frames},
                    {"counter", one.counter_faults},
                    {"checksum", one.checksum_faults},
                    {"length", one.wrong_length}});
  }
  return list;
}

Json StepsJson(const SessionFindings& findings) {
  Json list = Json::array();
  for (const analysis::ClockStep& step : findings.clock_steps) {
    list.push_back({{"channel", analysis::ChannelLabel(findings.header, step.channel)},
                    {"at_s", Seconds(step.at)},
                    {"step_s", Seconds(step.step)}});
  }
  return list;
}

Json SessionJson(const SessionFindings& findings) {
  Json json;
  json["id"] = findings.header.id;
  json["name"] = findings.header.name;
  json["stage"] = session::StageName(findings.header.stage);
  json["vehicle"] = findings.header.vehicle;
  json["state"] = session::StateName(findings.state);
  json["damaged"] = findings.damaged;
  json["start"] = FormatWallTime(findings.start, 6);
  json["length_s"] = Seconds(findings.length);
  json["frames"] = findings.frames;
  json["not_described"] = findings.not_described;
  json["drops"] = findings.drops;
  json["clock_steps"] = StepsJson(findings);
  json["definitions_from"] = analysis::DefinitionOriginName(findings.origin);
  json["definitions"] = findings.definitions ? Json(findings.definitions->files) : Json::array();
  json["faults"] =
      findings.definitions ? FaultsJson(*findings.definitions, findings.faults) : Json::array();
  return json;
}

// JSON has no infinity.
Json Number(double value) { return std::isfinite(value) ? Json(value) : Json(nullptr); }

Json SignalJson(const decoders::Signal& signal, const SignalSummary& summary) {
  Json json;
  json["signal"] = signal.name;
  json["unit"] = signal.unit;
  json["values"] = summary.values;
  json["absent"] = summary.absent;
  json["out_of_range"] = summary.out_of_range;
  json["lowest"] = Number(summary.lowest);
  json["highest"] = Number(summary.highest);
  json["latest"] = Json::array();
  for (std::size_t i = 0; i < summary.latest.size(); ++i) {
    const decoders::Value& value = summary.latest[i];
    const bool number = value.time != WallTime() && value.validity != decoders::Validity::kAbsent;
    std::string state = value.time != WallTime() ? StateText(signal, value) : "";
    if (state.empty()) state = summary.latest_texts[i];
    json["latest"].push_back(
        {{"value", number ? Number(value.number) : Json(nullptr)}, {"state", std::move(state)}});
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
  json["lowest"] = Number(fit.lowest);
  json["highest"] = Number(fit.highest);
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

std::string JsonString(std::string_view text) { return Dump(Json(text), -1); }

std::string ComparisonJson(const Comparison& comparison) {
  Json json;
  json["warnings"] = Json::array();
  for (const auto& warning : comparison.warnings) json["warnings"].push_back(WarningJson(warning));
  json["traffic"] = TrafficJson(comparison.traffic);
  json["signals"] = Json::array();
  json["units"] = Json::array();
  json["checks"] = Json::array();
  json["before"] = SessionJson(comparison.before);
  json["after"] = SessionJson(comparison.after);
  return Dump(json, 2) + "\n";
}

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
  return Dump(json, 2) + "\n";
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
  if (fit != nullptr) json["against"] = FitJson(*fit);
  return Dump(json, 2) + "\n";
}

}  // namespace proofdrive::output
