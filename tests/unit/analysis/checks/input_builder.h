// Signals with roles made by hand, for tests of the checks.
#pragma once

#include <functional>
#include <string>
#include <utility>
#include <vector>

#include "analysis/checks/checks.h"

namespace proofdrive::testing {

using Formula = std::function<double(double at_s)>;

class InputBuilder {
 public:
  explicit InputBuilder(double length_s) { input_.length_s = length_s; }

  // One value every `period_s`, rounded to `step`.
  InputBuilder& Scalar(const std::string& role, double period_s, double step,
                       const Formula& value) {
    analysis::RoleSignal& signal = New(role, step, 1);
    Fill(signal.elements[0], period_s, step, value);
    return *this;
  }
  InputBuilder& Each(const std::string& role, std::size_t count, double period_s, double step,
                     const std::function<double(std::size_t, double)>& value) {
    analysis::RoleSignal& signal = New(role, step, count);
    signal.is_series = true;
    for (std::size_t i = 0; i < count; ++i) {
      Fill(signal.elements[i], period_s, step, [&](double at) { return value(i, at); });
    }
    return *this;
  }
  // States are numbered in the order of `names`.
  InputBuilder& States(const std::string& role, const std::vector<std::string>& names,
                       double period_s, const Formula& value) {
    analysis::RoleSignal& signal = New(role, 1, 1);
    for (std::size_t i = 0; i < names.size(); ++i) {
      const auto number = static_cast<std::int64_t>(i);
      signal.states.push_back({number, number, names[i]});
    }
    Fill(signal.elements[0], period_s, 1, value);
    return *this;
  }

  analysis::RoleSignal& last() { return input_.signals.back(); }
  analysis::CheckInput& input() { return input_; }

  analysis::CheckResult Run(const std::string& check,
                            const analysis::CheckSettings& settings = {}) {
    for (analysis::CheckResult& result : analysis::RunChecks(input_, settings)) {
      if (result.name == check) return result;
    }
    return {};
  }

 private:
  analysis::RoleSignal& New(const std::string& role, double step, std::size_t count) {
    analysis::RoleSignal signal;
    signal.role = role;
    signal.name = role;
    for (char& c : signal.name) c = c == ' ' ? '_' : c;
    signal.step = step;
    signal.elements.resize(count);
    input_.signals.push_back(std::move(signal));
    return input_.signals.back();
  }
  void Fill(analysis::Track& track, double period_s, double step, const Formula& value) const {
    for (double at = 0; at <= input_.length_s; at += period_s) {
      track.Add(at, step * static_cast<double>(static_cast<long long>(
                               value(at) / step + (value(at) < 0 ? -0.5 : 0.5))));
    }
  }

  analysis::CheckInput input_;
};

// "pack.capacity=107" and so on; mistakes fail loudly by giving defaults.
inline analysis::CheckSettings SettingsOf(const std::vector<std::string>& assignments) {
  analysis::CheckSettings settings;
  for (const std::string& assignment : assignments) {
    const Status status = settings.Set(assignment);
    if (!status.ok()) std::abort();
  }
  return settings;
}

}  // namespace proofdrive::testing
