#include "decoders/signals/valid_when.h"

#include <limits>

namespace proofdrive::decoders {
namespace {

constexpr double kUnknown = std::numeric_limits<double>::quiet_NaN();

}  // namespace

Gates::Gates(const Definitions& definitions)
    : latest_(definitions), freshness_(definitions), gate_of_(definitions.signals.size(), -1) {
  for (std::size_t i = 0; i < definitions.signals.size(); ++i) {
    const Signal& signal = definitions.signals[i];
    if (!signal.valid_when) continue;
    TextProblem none;  // the loader has checked the text
    Gate gate;
    gate.formula =
        Formula::Compile(signal.valid_when->text, FormulaKind::kCondition, definitions, none);
    if (gate.formula == nullptr) continue;
    gate.inputs.resize(gate.formula->inputs().size());
    gate_of_[i] = static_cast<std::int32_t>(gates_.size());
    gates_.push_back(std::move(gate));
  }
}

void Gates::Apply(std::size_t first, std::vector<Value>& values) {
  if (gates_.empty()) return;
  for (std::size_t i = first; i < values.size(); ++i) {
    freshness_.Heard(values[i].signal, values[i].time);
    latest_.Update(values[i]);
  }
  for (std::size_t i = first; i < values.size(); ++i) {
    const std::int32_t gate = gate_of_[values[i].signal];
    if (gate < 0 || Holds(gates_[static_cast<std::size_t>(gate)], values[i].time)) continue;
    values[i].number = kUnknown;
    values[i].validity = Validity::kAbsent;
  }
}

bool Gates::Holds(Gate& gate, WallTime time) {
  const auto inputs = gate.formula->inputs();
  for (std::size_t i = 0; i < inputs.size(); ++i) {
    const bool fresh = freshness_.IsFreshAt(inputs[i].signal, time);
    gate.inputs[i] = fresh ? latest_.Read(inputs[i]) : kUnknown;
  }
  return gate.formula->Evaluate(gate.inputs) == 1;
}

}  // namespace proofdrive::decoders
