#include "analysis/checking/draft.h"

#include <algorithm>
#include <cmath>
#include <cstdio>

#include "core/base/decimals.h"

namespace proofdrive::analysis {

void CheckDraft::Judge(CheckStatus status, std::string sentence) {
  if (status_ && *status_ <= status) {
    result_.findings.push_back(std::move(sentence));
    return;
  }
  if (status_) result_.findings.insert(result_.findings.begin(), std::move(result_.summary));
  status_ = status;
  result_.summary = std::move(sentence);
}

double CheckDraft::Limit(std::string_view setting) {
  const bool listed = std::any_of(result_.limits.begin(), result_.limits.end(),
                                  [&](const UsedLimit& limit) { return limit.name == setting; });
  if (!listed) result_.limits.push_back(settings_.Limit(setting));
  return settings_.Get(setting);
}

CheckResult CheckDraft::Take() {
  result_.status = status_.value_or(CheckStatus::kCannotTell);
  result_.nothing_judged = !status_;
  if (!status_) {
    result_.summary = result_.missing.empty() ? "the conditions it needs never occurred"
                                              : "missing: " + result_.missing.front();
  }
  return std::move(result_);
}

std::string Spoken(double value) {
  const double size = std::fabs(value);
  const int decimals = size >= 99.95 || size == 0 ? 0
                       : size >= 9.995            ? 1
                       : size >= 0.9995           ? 2
                       : size >= 0.09995          ? 3
                                                  : 4;
  if (size == 0 || (size >= 0.0005 && size < 1e7)) return Decimals(value, decimals);
  char text[64];
  std::snprintf(text, sizeof(text), "%.2e", value);
  return text;
}

std::string SpokenSeconds(double seconds) { return SpokenDuration(FromSeconds(seconds)); }

}  // namespace proofdrive::analysis
