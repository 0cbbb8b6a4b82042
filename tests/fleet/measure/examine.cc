#include "tests/fleet/measure/examine.h"

#include <algorithm>
#include <cctype>
#include <cmath>

#include "analysis/checks/checks.h"
#include "tests/fleet/measure/check_input.h"
#include "tests/fleet/measure/given.h"
#include "tests/fleet/measure/truth.h"
#include "tests/fleet/physics/life.h"
#include "tests/fleet/sensors/sent.h"

namespace proofdrive::fleet {
namespace {

using analysis::CheckResult;
using analysis::CheckStatus;

constexpr double kNormal95 = 1.96;

bool IsDigit(char c) { return std::isdigit(static_cast<unsigned char>(c)) != 0; }

// Sentences that differ in their numbers only are one.
std::string WithoutNumbers(const std::string& sentence) {
  std::string text;
  for (std::size_t i = 0; i < sentence.size(); ++i) {
    if (!IsDigit(sentence[i])) {
      text += sentence[i];
      continue;
    }
    while (i + 1 < sentence.size() &&
           (IsDigit(sentence[i + 1]) ||
            (sentence[i + 1] == '.' && i + 2 < sentence.size() && IsDigit(sentence[i + 2])))) {
      ++i;
    }
    text += '#';
  }
  return text;
}

Answer AnswerOf(const CheckResult& result) {
  Answer answer;
  answer.check = result.name;
  answer.status = result.status;
  const bool tells = result.status != CheckStatus::kCannotTell;
  answer.why =
      WithoutNumbers(tells || result.missing.empty() ? result.summary : result.missing.front());
  return answer;
}

void Compare(const CheckResult& result, const std::map<std::string, double>& truth,
             std::vector<Stated>& stated) {
  for (const analysis::Figure& figure : result.figures) {
    const std::string name = result.name + "/" + figure.name;
    const auto known = truth.find(name);
    if (known == truth.end() || !figure.uncertainty || std::isnan(known->second)) continue;
    const double off = figure.value - known->second;
    stated.push_back(
        {name, figure.value, off / *figure.uncertainty, off / std::fabs(known->second)});
  }
}

std::size_t CountValues(const Sent& sent) {
  std::size_t count = 0;
  for (const SentSignal& signal : sent.signals) {
    for (const SentTrack& track : signal.elements) count += track.time_s.size();
  }
  return count;
}

bool Reads(const analysis::CheckRow& row, const std::string& role) {
  const auto has = [&role](const auto& list) {
    return std::any_of(list.begin(), list.end(),
                       [&role](std::string_view own) { return own == role; });
  };
  return has(row.needs) || has(row.uses);
}

}  // namespace

bool Stated::holds() const { return std::fabs(error) <= kNormal95; }

Outcome Examine(const Car& car) {
  const Life life = Live(car);
  Sent sent = Send(car, life);
  Outcome outcome;
  outcome.all_roles = car.all_roles;
  outcome.values = CountValues(sent);
  const auto truth = TruthOf(car, life, sent);
  analysis::CheckInput input = InputOf(std::move(sent));
  for (const CheckResult& result : analysis::RunChecks(input, SettingsOf(car.facts))) {
    outcome.answers.push_back(AnswerOf(result));
    outcome.answers.back().given = GivesAllFor(result.name, car, life);
    Compare(result, truth, outcome.stated);
  }
  return outcome;
}

Answer ExamineFor(Car car, std::string_view check) {
  for (const analysis::CheckRow& row : analysis::AllChecks()) {
    if (row.name != check) continue;
    // The signals check holds some against others, so the usual companions stay.
    std::erase_if(car.sensors.values, [&row](const auto& sensor) {
      return !Reads(row, sensor.first) && sensor.first != "pack current";
    });
  }
  analysis::CheckInput input = InputOf(Send(car, Live(car)));
  for (const CheckResult& result : analysis::RunChecks(input, SettingsOf(car.facts))) {
    if (result.name == check) return AnswerOf(result);
  }
  return {std::string(check), CheckStatus::kCannotTell, "no such check", false};
}

}  // namespace proofdrive::fleet
