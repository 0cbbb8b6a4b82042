#include "analysis/checks/parts/load_terms.h"

#include <algorithm>
#include <cmath>

#include "analysis/checking/input.h"

namespace proofdrive::analysis {
namespace {

constexpr double kLeastGap = 0.05;  // s
constexpr double kPerHour = 1.0 / 3600;

}  // namespace

double ReachedAfter(std::size_t term, double seconds) {
  if (term == 0) return 1;
  return term == kChargeTerm ? 0 : 1 - std::exp(-seconds / kLoadLags[term - 1]);
}

LoadOverTime::LoadOverTime(const Track& current)
    : current_(current), gap_(std::max(CheckInput::Gap(current), kLeastGap)) {}

std::optional<LoadTerms> LoadOverTime::At(double at_s) {
  while (after_s_ <= at_s && next_ < current_.size()) Step();
  if (before_s_ > at_s || after_s_ < at_s || after_s_ - before_s_ > gap_) return std::nullopt;
  const double part = (at_s - before_s_) / (after_s_ - before_s_);
  LoadTerms terms = {};
  for (std::size_t k = 0; k < kLoadTerms; ++k) {
    terms[k] = before_[k] + part * (after_[k] - before_[k]);
  }
  return terms;
}

void LoadOverTime::Step() {
  const double at = current_.time_s[next_];
  const double amps = current_.value[next_];
  ++next_;
  if (std::isnan(amps) || at <= after_s_) return;
  before_s_ = after_s_;
  before_ = after_;
  if (at - before_s_ > gap_) {
    after_.fill(amps);
    after_[kChargeTerm] = before_[kChargeTerm];
  } else {
    Move(amps, at - before_s_);
  }
  after_s_ = at;
}

void LoadOverTime::Move(double amps, double seconds) {
  if (seconds != step_s_) {
    step_s_ = seconds;
    for (std::size_t k = 0; k < kLoadLags.size(); ++k) {
      step_share_[k] = 1 - std::exp(-seconds / kLoadLags[k]);
    }
  }
  const double mean = (before_[0] + amps) / 2;
  after_[0] = amps;
  for (std::size_t k = 0; k < kLoadLags.size(); ++k) {
    after_[k + 1] += (mean - after_[k + 1]) * step_share_[k];
  }
  after_[kChargeTerm] += mean * seconds * kPerHour;
}

}  // namespace proofdrive::analysis
