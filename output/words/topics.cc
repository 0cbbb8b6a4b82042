#include "output/words/topics.h"

#include <algorithm>

#include "analysis/session/warning_sources.h"

namespace proofdrive::output {
namespace {

using analysis::CheckResult;
using analysis::CheckStatus;
using analysis::Comparison;
using analysis::Verdict;

struct CheckTopic {
  std::string_view check;
  CautionTopic topic;
};
constexpr CheckTopic kTopics[] = {
    {"insulation", CautionTopic::kWetPack},  {"cooling", CautionTopic::kWetPack},
    {"interlock", CautionTopic::kInterlock}, {"contactors", CautionTopic::kInterlock},
    {"precharge", CautionTopic::kInterlock}, {"balance", CautionTopic::kPack},
    {"resistance", CautionTopic::kPack},     {"capacity", CautionTopic::kPack},
};

}  // namespace

CautionTopic WarningTopic(const decoders::Definitions& definitions, const std::string& warning) {
  const auto index = definitions.FindWarning(warning);
  if (!index) return CautionTopic::kPack;
  CautionTopic topic = CautionTopic::kOther;
  bool any_role = false;
  for (const std::uint32_t signal :
       analysis::SignalsIn(definitions, definitions.warnings[*index].when.text)) {
    const std::string& role = definitions.signals[signal].role;
    any_role |= !role.empty();
    topic = std::min(topic, TopicOfRole(role));
  }
  return any_role ? topic : CautionTopic::kPack;
}

std::vector<CautionTopic> CheckTopics(const std::vector<CheckResult>& results) {
  std::vector<CautionTopic> topics;
  for (const CheckResult& result : results) {
    const bool open =
        result.status == CheckStatus::kOutside || result.status == CheckStatus::kLookCloser;
    for (const CheckTopic& row : kTopics) {
      if (open && row.check == result.name) topics.push_back(row.topic);
    }
  }
  return topics;
}

std::vector<CautionTopic> ComparisonTopics(const Comparison& comparison) {
  std::vector<CheckResult> after;
  for (const analysis::CheckPair& pair : comparison.checks) after.push_back(pair.after);
  std::vector<CautionTopic> topics = CheckTopics(after);
  if (!comparison.codes.empty()) topics.push_back(CautionTopic::kPack);
  if (comparison.after.definitions == nullptr) return topics;
  for (const analysis::WarningVerdict& warning : comparison.warnings) {
    const CautionTopic topic = WarningTopic(*comparison.after.definitions, warning.name);
    if (IsOpen(warning.verdict) || IsUnproven(warning.verdict)) topics.push_back(topic);
    const bool cleared = warning.verdict == Verdict::kCleared;
    if (cleared && topic == CautionTopic::kWetPack) topics.push_back(CautionTopic::kDriedPack);
  }
  return topics;
}

}  // namespace proofdrive::output
