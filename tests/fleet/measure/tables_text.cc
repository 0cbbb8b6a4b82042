#include <algorithm>
#include <cstdio>

#include "analysis/statistics/robust.h"
#include "analysis/statistics/summaries.h"
#include "core/base/text.h"
#include "tests/fleet/measure/binomial.h"
#include "tests/fleet/measure/tables.h"

namespace proofdrive::fleet {
namespace {

constexpr std::size_t kOutside = static_cast<std::size_t>(analysis::CheckStatus::kOutside);
constexpr std::size_t kLook = static_cast<std::size_t>(analysis::CheckStatus::kLookCloser);
constexpr std::size_t kCannot = static_cast<std::size_t>(analysis::CheckStatus::kCannotTell);
constexpr std::size_t kWithin = static_cast<std::size_t>(analysis::CheckStatus::kWithin);
constexpr std::size_t kMostReasons = 6;

std::string Fixed(double value, int decimals) {
  char text[32];
  std::snprintf(text, sizeof(text), "%.*f", decimals, value);
  return text;
}

// "12.5 % (10.1 - 15.2)"
std::string Share(std::size_t hits, std::size_t count) {
  if (count == 0) return "-";
  const ShareLimits limits = LimitsOfShare(hits, count);
  return Fixed(100.0 * static_cast<double>(hits) / static_cast<double>(count), 1) + " % (" +
         Fixed(100 * limits.low, 1) + " - " + Fixed(100 * limits.high, 1) + ")";
}

std::size_t Sum(const Counts& counts) {
  return counts[kOutside] + counts[kLook] + counts[kCannot] + counts[kWithin];
}

void AddReasons(const Reasons& reasons, const std::string& title, std::string& out) {
  std::vector<std::pair<std::size_t, std::string>> sorted;
  for (const auto& [text, reason] : reasons) {
    sorted.emplace_back(reason.count, "car " + std::to_string(reason.car) + ": " + text);
  }
  std::sort(sorted.rbegin(), sorted.rend());
  for (std::size_t i = 0; i < std::min(sorted.size(), kMostReasons); ++i) {
    out += "- " + title + ", " + std::to_string(sorted[i].first) + ", " + sorted[i].second + "\n";
  }
}

// "9 w1 a2"
std::string FoundText(const FaultCounts& counts) {
  std::string text = std::to_string(counts.found);
  if (counts.within > 0) text += " w" + std::to_string(counts.within);
  if (counts.cannot_tell > 0) text += " c" + std::to_string(counts.cannot_tell);
  if (counts.alarmed_before > 0) text += " a" + std::to_string(counts.alarmed_before);
  return text;
}

std::string FaultLine(const FaultTally& tally) {
  std::string sizes;
  std::string found;
  for (std::size_t i = 0; i < tally.sizes.size(); ++i) {
    const std::string size = FormatDouble(tally.row->sizes[i]);
    sizes += (i > 0 ? ", " : "") + (i == tally.row->named ? "[" + size + "]" : size);
    found += (i > 0 ? ", " : "") + FoundText(tally.sizes[i]);
  }
  return "| " + std::string(tally.row->name) + ": " + std::string(tally.row->what) + " | " +
         std::to_string(tally.cars) + " | " + sizes + " " + std::string(tally.row->unit) + " | " +
         found + " |\n";
}

}  // namespace

std::string HealthyText(const HealthyTally& tally, const Plan& plan) {
  std::string out = "Healthy cars: " + std::to_string(tally.cars) + ", " +
                    std::to_string(tally.cars_all_roles) + " of them send every role; " +
                    Fixed(static_cast<double>(tally.values) / 1e6, 0) +
                    " million values. In brackets 95 % limits (Clopper and Pearson).\n\n";
  out += "- cars with a false \"outside limits\": " + Share(tally.outside, tally.cars) +
         ", wanted: at most 0.5 %\n";
  out += "- cars with any false alarm: " + Share(tally.alarmed, tally.cars) +
         ", wanted: at most 5 %\n\n";
  out +=
      "| check | false \"outside limits\" | false \"look closer\" | \"cannot tell\" | \"within "
      "limits\" where all it asks for is given (wanted: 80 %) |\n|---|---|---|---|---|\n";
  for (const auto& [name, check] : tally.checks) {
    if (!Wanted(plan.checks, name)) continue;
    out += "| " + name + " | " + Share(check.all[kOutside], tally.cars) + " | " +
           Share(check.all[kLook], tally.cars) + " | " + Share(check.all[kCannot], tally.cars) +
           " | " + Share(check.given[kWithin], Sum(check.given)) + " of " +
           std::to_string(Sum(check.given)) + " |\n";
  }
  out +=
      "\n| figure with a stated uncertainty | truth within the stated 95 % (wanted: 93 - 97 %) "
      "| too large by, median | middle 95 % of the errors, in stated uncertainties |\n"
      "|---|---|---|---|\n";
  for (const auto& [name, interval] : tally.intervals) {
    out += "| " + name + " | " + Share(interval.holds, interval.count) + " of " +
           std::to_string(interval.count) + " | " +
           Fixed(100 * analysis::Median(interval.offs), 1) + " % | " +
           Fixed(analysis::Quantile(interval.errors, 0.025), 1) + " to " +
           Fixed(analysis::Quantile(interval.errors, 0.975), 1) + " |\n";
  }
  for (const auto& [name, check] : tally.checks) {
    if (!Wanted(plan.checks, name) || (check.alarms.empty() && check.cannot_tell.empty())) continue;
    out += "\n" + name + ":\n\n";
    AddReasons(check.alarms, "alarm", out);
    AddReasons(check.cannot_tell, "cannot tell", out);
  }
  return out;
}

std::string FaultsText(const std::vector<FaultTally>& tallies) {
  if (tallies.empty()) return "";
  std::string out =
      "Found at each size, of so many cars. w: called \"within limits\", c: \"cannot tell\", a: "
      "an alarm in the same words as for the same car without the fault. From the size in brackets "
      "on the document says that it is found (wanted: 95 %, and never w).\n\n"
      "| fault | of | sizes | found |\n|---|---|---|---|\n";
  for (const FaultTally& tally : tallies) out += FaultLine(tally);
  for (const FaultTally& tally : tallies) {
    if (tally.cannot_tell.empty() && tally.within.empty()) continue;
    out += "\n" + std::string(tally.row->name) + ", from its named size on:\n\n";
    AddReasons(tally.within, "within limits", out);
    AddReasons(tally.cannot_tell, "cannot tell", out);
  }
  return out;
}

}  // namespace proofdrive::fleet
