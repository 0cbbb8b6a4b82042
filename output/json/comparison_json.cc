#include "output/json/comparison_json.h"

#include <nlohmann/json.hpp>

#include "analysis/compare/test_plan.h"
#include "analysis/session/warning_sources.h"
#include "core/base/json.h"
#include "output/json/code_comparison_json.h"
#include "output/json/json_parts.h"
#include "output/json/traffic_comparison_json.h"
#include "output/text/comparison_text.h"
#include "output/words/comparison_words.h"
#include "output/words/next_steps.h"

namespace proofdrive::output {
namespace {

using analysis::Comparison;
using analysis::SessionFindings;
using analysis::WarningEvidence;

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

// What one signal did in one session; null when it was never received.
Json ValueJson(const SessionFindings& findings, std::uint32_t index) {
  if (index >= findings.signals.size() || findings.signals[index].values == 0) return nullptr;
  const analysis::SignalRecord& record = findings.signals[index];
  const decoders::Signal& signal = findings.definitions->signals[index];
  Json json;
  json["values"] = record.values;
  json["absent"] = record.absent;
  json["out_of_range"] = record.out_of_range;
  json["lowest"] = record.HasNumbers() ? Decoded(record.lowest.value) : Json(nullptr);
  json["lowest_at_s"] = record.HasNumbers() ? Json(Seconds(record.lowest.at)) : Json(nullptr);
  json["highest"] = record.HasNumbers() ? Decoded(record.highest.value) : Json(nullptr);
  json["highest_at_s"] = record.HasNumbers() ? Json(Seconds(record.highest.at)) : Json(nullptr);
  json["last"] = record.HasNumbers() ? Decoded(record.last) : Json(nullptr);
  json["states"] = Json::object();
  for (std::size_t i = 0; i < signal.states.size(); ++i) {
    if (record.state_counts[i] > 0) json["states"][signal.states[i].name] = record.state_counts[i];
  }
  return json;
}

const decoders::Warning* DefinedWarning(const Comparison& comparison,
                                        const analysis::WarningVerdict& warning) {
  if (comparison.after.definitions == nullptr) return nullptr;
  const auto index = comparison.after.definitions->FindWarning(warning.name);
  return index ? &comparison.after.definitions->warnings[*index] : nullptr;
}

// The frames a warning depends on.
Json FrameNames(const Comparison& comparison, const analysis::WarningVerdict& warning) {
  Json names = Json::array();
  const decoders::Warning* defined = DefinedWarning(comparison, warning);
  if (defined == nullptr) return names;
  const decoders::Definitions& definitions = *comparison.after.definitions;
  for (const std::uint32_t frame : analysis::FramesOf(definitions, *defined)) {
    names.push_back(definitions.frames[frame].name);
  }
  return names;
}

// The signals of its condition and of its proof, on both sides.
Json ValuesJson(const Comparison& comparison, const analysis::WarningVerdict& warning) {
  Json list = Json::array();
  const decoders::Warning* defined = DefinedWarning(comparison, warning);
  if (defined == nullptr) return list;
  const decoders::Definitions& definitions = *comparison.after.definitions;
  std::string conditions = defined->when.text;
  if (defined->proven_by) conditions += " " + defined->proven_by->condition.text;
  for (const std::uint32_t index : analysis::SignalsIn(definitions, conditions)) {
    list.push_back({{"signal", definitions.signals[index].name},
                    {"unit", definitions.signals[index].unit},
                    {"before", ValueJson(comparison.before, index)},
                    {"after", ValueJson(comparison.after, index)}});
  }
  return list;
}

Json TypicalJson(const std::optional<analysis::Typical>& typical) {
  if (!typical) return nullptr;
  return {{"middle", Decoded(typical->middle)},
          {"low", Decoded(typical->low)},
          {"high", Decoded(typical->high)}};
}

Json FigureChangeJson(const analysis::FigureComparison& one) {
  const bool known = one.change != analysis::FigureChange::kNotKnown;
  const auto error = [](const std::optional<double>& value) {
    return value ? Figures(*value) : Json(nullptr);
  };
  return {{"name", one.name},
          {"words", one.words},
          {"unit", one.unit},
          {"main", one.is_main},
          {"before", Figures(one.before)},
          {"before_uncertainty", error(one.before_error)},
          {"after", Figures(one.after)},
          {"after_uncertainty", error(one.after_error)},
          {"change", FigureChangeName(one.change)},
          {"amount_is", one.is_ratio ? "ratio" : "difference"},
          {"amount", Figures(one.amount)},
          {"interval", known ? Json{Figures(one.low), Figures(one.high)} : Json(nullptr)},
          {"conditions", one.conditions},
          {"why", one.Sentence()}};
}

Json CheckJson(const analysis::CheckResult& check) {
  return {{"status", analysis::CheckStatusName(check.status)},
          {"summary", check.FirstSentence()},
          {"stands_on", FootingJson(check.stands_on)},
          {"joined", check.joined},
          {"missing", check.missing}};
}

Json CheckPairJson(const analysis::CheckPair& pair) {
  Json json;
  json["name"] = pair.name;
  json["title"] = pair.title;
  json["before"] = CheckJson(pair.before);
  json["after"] = CheckJson(pair.after);
  json["figures"] = Json::array();
  for (const analysis::FigureComparison& one : pair.figures) {
    json["figures"].push_back(FigureChangeJson(one));
  }
  return json;
}

// Null: that was not looked at, because of what `change` says.
void AddFigures(const analysis::SignalComparison& one, Json& json) {
  using analysis::SignalChange;
  const bool numbers = one.is_of_numbers();
  const bool matched = numbers && one.change != SignalChange::kNotComparable;
  const bool tested = matched && one.change != SignalChange::kTooFew;
  const auto figure = [](bool known, Json value) { return known ? std::move(value) : Json(); };
  json["matched"] = figure(numbers, one.matched);
  json["windows"] = figure(numbers, {one.windows_before, one.windows_after});
  json["independent"] =
      figure(matched, {Figures(one.independent_before), Figures(one.independent_after)});
  json["overlap"] = figure(numbers, Figures(one.overlap));
  json["difference"] = figure(matched, Figures(one.difference));
  json["interval"] = figure(tested, {Figures(one.low), Figures(one.high)});
  json["effect"] = figure(tested, Figures(one.effect));
  json["p"] = figure(tested, Figures(one.p));
  json["p_adjusted"] = figure(tested, Figures(one.p_adjusted));
  json["margin"] = figure(matched, Figures(one.margin));
}

Json SignalJson(const Comparison& comparison, const analysis::SignalComparison& one) {
  const decoders::Signal& signal = comparison.after.definitions->signals[one.signal];
  Json json;
  json["signal"] = signal.name;
  json["unit"] = signal.unit;
  json["role"] = signal.role;
  json["known_from"] = KnownFromName(signal.known_from);
  json["change"] = analysis::SignalChangeName(one.change);
  json["why"] = one.why;
  json["before"] = ValueJson(comparison.before, one.signal);
  json["after"] = ValueJson(comparison.after, one.signal);
  json["typical_before"] = TypicalJson(one.before);
  json["typical_after"] = TypicalJson(one.after);
  json["states_only_before"] = one.only_before;
  json["states_only_after"] = one.only_after;
  AddFigures(one, json);
  return json;
}

Json WarningJson(const Comparison& comparison, const analysis::WarningVerdict& warning) {
  Json json;
  json["name"] = warning.name;
  json["kind"] = "warning";
  json["unit"] = "";  // control unit of a trouble code
  json["severity"] = decoders::WarningSeverityName(warning.severity);
  json["verdict"] = analysis::VerdictName(warning.verdict);
  json["why"] = warning.Reason();
  json["stands_on"] = FootingJson(warning.stands_on);
  json["text"] = warning.text;
  json["before"] = EvidenceJson(warning.before);
  json["after"] = EvidenceJson(warning.after);
  json["frames"] = FrameNames(comparison, warning);
  json["values"] = ValuesJson(comparison, warning);
  return json;
}

Json JudgedJson(const Comparison& comparison, const analysis::Judged& one) {
  if (one.kind == analysis::Judged::Kind::kCode) {
    return CodeVerdictJson(static_cast<const analysis::CodeVerdict&>(one));
  }
  return WarningJson(comparison, static_cast<const analysis::WarningVerdict&>(one));
}

Json PlanJson(const analysis::TestPlan& plan) {
  Json json;
  json["steps"] = Json::array();
  for (const analysis::PlanStep& step : plan.steps) {
    json["steps"].push_back(
        {{"do", step.Sentence()},
         {"condition", step.condition},
         {"for_s", Seconds(step.hold)},
         {"times", step.times},
         {"once_for_s", step.once > Duration(0) ? Json(Seconds(step.once)) : Json()},
         {"reached_s", Seconds(step.reached.value_or(Duration(0)))},
         {"reached_times", step.reached_times},
         {"moving", step.moving},
         {"proves", step.proves}});
  }
  json["obstacles"] = Json::array();
  for (const analysis::PlanObstacle& obstacle : plan.obstacles) {
    json["obstacles"].push_back({{"what", obstacle.what}, {"warnings", obstacle.warnings}});
  }
  return json;
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
  json["vehicle"] = VehicleOf(findings);
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

}  // namespace

std::string ComparisonJson(const Comparison& comparison) {
  Json json;
  json["answer"] = Headline(comparison);
  json["next"] = NextSteps(comparison);
  json["warnings"] = Json::array();
  for (const analysis::Judged* one : comparison.InOrder()) {
    json["warnings"].push_back(JudgedJson(comparison, *one));
  }
  json["traffic"] = TrafficJson(comparison.traffic);
  json["signals"] = Json::array();
  for (const auto& one : comparison.signals) json["signals"].push_back(SignalJson(comparison, one));
  json["units"] = UnitsJson(comparison);
  json["definition_changes"] = DefinitionChangesJson(comparison);
  json["checks"] = Json::array();
  for (const analysis::CheckPair& pair : comparison.checks) {
    json["checks"].push_back(CheckPairJson(pair));
  }
  json["plan"] = PlanJson(analysis::MakeTestPlan(comparison));
  json["before"] = SessionJson(comparison.before);
  json["after"] = SessionJson(comparison.after);
  json["order_doubt"] = OrderDoubt(comparison);
  json["all_guesses"] = comparison.AllGuessesSentence();
  return DumpJsonDocument(json);
}

}  // namespace proofdrive::output
