#include "decoders/signals/valid_when.h"

#include <limits>

namespace proofdrive::decoders {
namespace {

constexpr double kUnknown = std::numeric_limits<double>::quiet_NaN();

}  // namespace

ValidityConditions::ValidityConditions(const Definitions& definitions)
    : latest_(definitions), freshness_(definitions), condition_of_(definitions.signals.size(), -1) {
  for (std::size_t i = 0; i < definitions.signals.size(); ++i) {
    const Signal& signal = definitions.signals[i];
    if (!signal.valid_when) continue;
    TextProblem none;  // the loader has checked the text
    Condition condition;
    condition.formula =
        Formula::Compile(signal.valid_when->text, FormulaKind::kCondition, definitions, none);
    if (condition.formula == nullptr) continue;
    condition.inputs.resize(condition.formula->inputs().size());
    condition_of_[i] = static_cast<std::int32_t>(conditions_.size());
    conditions_.push_back(std::move(condition));
  }
}

void ValidityConditions::Apply(std::size_t first, std::vector<Value>& values) {
  if (conditions_.empty()) return;
  for (std::size_t i = first; i < values.size(); ++i) {
    freshness_.Heard(values[i].signal, values[i].time);
    latest_.Update(values[i]);
  }
  for (std::size_t i = first; i < values.size(); ++i) {
    const std::int32_t condition = condition_of_[values[i].signal];
    if (condition < 0 || Holds(conditions_[static_cast<std::size_t>(condition)], values[i].time))
      continue;
    values[i].number = kUnknown;
    values[i].validity = Validity::kAbsent;
  }
}

bool ValidityConditions::Holds(Condition& condition, WallTime time) {
  const auto inputs = condition.formula->inputs();
  for (std::size_t i = 0; i < inputs.size(); ++i) {
    const bool fresh = freshness_.IsFreshAt(inputs[i].signal, time);
    condition.inputs[i] = fresh ? latest_.Read(inputs[i]) : kUnknown;
  }
  return condition.formula->Evaluate(condition.inputs) == 1;
}

}  // namespace proofdrive::decoders
