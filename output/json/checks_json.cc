#include "output/json/checks_json.h"

#include <cmath>
#include <nlohmann/json.hpp>

#include "analysis/checking/guesses.h"
#include "core/base/json.h"
#include "output/json/json_parts.h"
#include "output/text/checks_text.h"

namespace proofdrive::output {
namespace {

using analysis::CheckResult;
Json FigureJson(const analysis::Figure& figure) {
  return {{"name", figure.name},
          {"value", Number(figure.value)},
          {"unit", figure.unit},
          {"uncertainty", figure.uncertainty ? Number(*figure.uncertainty) : Json(nullptr)},
          {"detail", figure.detail}};
}

Json LimitJson(const analysis::UsedLimit& limit) {
  return {{"name", limit.name},
          {"value", Number(limit.value)},
          {"unit", limit.unit},
          {"mark", MarkName(limit.mark)},
          {"source", limit.source}};
}

Json RoleJson(const analysis::RoleUse& role) {
  return {{"role", role.role}, {"needed", role.needed}, {"signals", role.signals}};
}

Json WindowJson(const analysis::Window& window) {
  Json spans = Json::array();
  for (const analysis::Interval& interval : window.intervals) {
    spans.push_back({{"from_s", Number(interval.from_s)}, {"to_s", Number(interval.to_s)}});
  }
  return {{"used", window.used}, {"what", window.what}, {"spans", spans}};
}

Json CurveJson(const analysis::Curve& curve) {
  Json x = Json::array();
  Json y = Json::array();
  for (const double value : curve.x) x.push_back(Number(value));
  for (const double value : curve.y) y.push_back(Number(value));
  Json json = {{"name", curve.name},
               {"x", {{"name", curve.x_name}, {"unit", curve.x_unit}, {"values", x}}},
               {"y", {{"name", curve.y_name}, {"unit", curve.y_unit}, {"values", y}}}};
  json["levels"] = Json::array();
  for (const analysis::CurveLevel& level : curve.levels) {
    json["levels"].push_back({{"name", level.name}, {"value", Number(level.y)}});
  }
  if (!curve.expected.empty()) {
    json["expected"] = {{"name", curve.expected_name}, {"values", Json::array()}};
    for (const double value : curve.expected) json["expected"]["values"].push_back(Number(value));
  }
  json["stand_out"] = curve.marked;
  return json;
}

template <class List, class Make>
Json Each(const List& list, Make make) {
  Json all = Json::array();
  for (const auto& one : list) all.push_back(make(one));
  return all;
}

Json ResultJson(const CheckResult& result) {
  Json json;
  json["name"] = result.name;
  json["title"] = result.title;
  json["status"] = CheckStatusName(result.status);
  json["summary"] = result.FirstSentence();
  json["stands_on"] = FootingJson(result.stands_on);
  json["measured"] = result.measured;
  json["findings"] = result.findings;
  json["joined"] = result.joined;
  json["missing"] = result.missing;
  json["looks_the_same"] = result.alike;
  json["figures"] = Each(result.figures, FigureJson);
  json["limits"] = Each(result.limits, LimitJson);
  json["roles"] = Each(result.roles, RoleJson);
  json["windows"] = Each(result.windows, WindowJson);
  json["curves"] = Each(result.curves, CurveJson);
  return json;
}

}  // namespace

std::string ChecksJson(const std::vector<CheckResult>& results,
                       const analysis::Coverage& coverage) {
  Json json;
  json["answer"] = CheckHeadline(results, coverage);
  json["coverage"] = CoverageJson(coverage);
  json["checks"] = Each(results, ResultJson);
  json["cautions"] = Each(CheckCautions(), [](const Caution& caution) {
    return Json{{"text", caution.text}, {"basis", caution.basis}};
  });
  json["all_guesses"] = analysis::AllGuessesSentence(results);
  return DumpJsonDocument(json);
}

}  // namespace proofdrive::output
