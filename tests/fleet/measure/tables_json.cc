#include <nlohmann/json.hpp>

#include "core/base/json.h"
#include "tests/fleet/measure/binomial.h"
#include "tests/fleet/measure/tables.h"

namespace proofdrive::fleet {
namespace {

using nlohmann::ordered_json;

ordered_json Share(std::size_t hits, std::size_t count) {
  const ShareLimits limits = LimitsOfShare(hits, count);
  return {{"hits", hits}, {"count", count}, {"low", limits.low}, {"high", limits.high}};
}

ordered_json CountsJson(const Counts& counts) {
  ordered_json json;
  for (std::size_t i = 0; i < counts.size(); ++i) {
    json[std::string(analysis::CheckStatusName(static_cast<analysis::CheckStatus>(i)))] = counts[i];
  }
  return json;
}

ordered_json ReasonsJson(const Reasons& reasons) {
  ordered_json json = ordered_json::object();
  for (const auto& [text, reason] : reasons) {
    json[text] = {{"count", reason.count}, {"first_car", reason.car}};
  }
  return json;
}

ordered_json HealthyJson(const HealthyTally& tally, const Plan& plan) {
  ordered_json json = {{"cars", tally.cars},
                       {"cars_all_roles", tally.cars_all_roles},
                       {"false_outside", Share(tally.outside, tally.cars)},
                       {"false_alarm", Share(tally.alarmed, tally.cars)}};
  for (const auto& [name, check] : tally.checks) {
    if (!Wanted(plan.checks, name)) continue;
    json["checks"][name] = {{"all", CountsJson(check.all)},
                            {"given", CountsJson(check.given)},
                            {"alarms", ReasonsJson(check.alarms)},
                            {"cannot_tell", ReasonsJson(check.cannot_tell)}};
  }
  for (const auto& [name, interval] : tally.intervals) {
    json["intervals"][name] = Share(interval.holds, interval.count);
  }
  return json;
}

ordered_json FaultJson(const FaultTally& tally) {
  ordered_json json = {{"name", tally.row->name},
                       {"check", tally.row->check},
                       {"unit", tally.row->unit},
                       {"named", tally.row->sizes[tally.row->named]}};
  for (std::size_t i = 0; i < tally.sizes.size(); ++i) {
    const FaultCounts& counts = tally.sizes[i];
    json["sizes"].push_back({{"size", tally.row->sizes[i]},
                             {"found", Share(counts.found, tally.cars)},
                             {"within", counts.within},
                             {"cannot_tell", counts.cannot_tell},
                             {"alarmed_before", counts.alarmed_before}});
  }
  json["cannot_tell"] = ReasonsJson(tally.cannot_tell);
  json["within"] = ReasonsJson(tally.within);
  return json;
}

}  // namespace

std::string TablesJson(const HealthyTally& healthy, const std::vector<FaultTally>& faults,
                       const Plan& plan) {
  ordered_json json = {{"seed", plan.seed}, {"healthy", HealthyJson(healthy, plan)}};
  for (const FaultTally& fault : faults) json["faults"].push_back(FaultJson(fault));
  return DumpJsonDocument(json);
}

}  // namespace proofdrive::fleet
