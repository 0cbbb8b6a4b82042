#include "decoders/signals/computed.h"

#include <bit>
#include <cmath>
#include <utility>

namespace proofdrive::decoders {

ComputedSignals::ComputedSignals(const Definitions& definitions)
    : definitions_(definitions),
      latest_(definitions),
      freshness_(definitions),
      users_(definitions.signals.size()) {
  for (const Computed& computed : definitions.computed) {
    TextProblem none;  // the loader has checked the text
    Item item;
    item.signal = computed.signal;
    item.formula = Formula::Compile(computed.formula.text, FormulaKind::kNumber, definitions, none);
    if (item.formula == nullptr) continue;
    item.inputs.resize(item.formula->inputs().size());
    const auto index = static_cast<std::uint32_t>(items_.size());
    for (const FormulaInput& input : item.formula->inputs()) {
      auto& users = users_[input.signal];
      if (users.empty() || users.back() != index) users.push_back(index);
    }
    items_.push_back(std::move(item));
  }
}

void ComputedSignals::Take(const Value& value) {
  freshness_.Heard(value.signal, value.time);
  if (users_[value.signal].empty()) return;
  latest_.Update(value);
  for (const std::uint32_t user : users_[value.signal]) {
    if (!std::exchange(items_[user].due, true)) due_.push(user);
  }
}

void ComputedSignals::Append(std::size_t first, std::vector<Value>& values) {
  if (items_.empty() || first == values.size()) return;
  for (std::size_t i = first; i < values.size(); ++i) Take(values[i]);
  const WallTime time = values[first].time;
  // In order of definition: an item may use those before it.
  while (!due_.empty()) {
    Item& item = items_[due_.top()];
    due_.pop();
    item.due = false;
    Value value;
    value.time = time;
    value.signal = item.signal;
    if (!Calculate(item, value)) continue;
    Take(value);
    values.push_back(value);
  }
}

bool ComputedSignals::Calculate(Item& item, Value& value) {
  const auto inputs = item.formula->inputs();
  for (std::size_t i = 0; i < inputs.size(); ++i) {
    const LatestValues::Why why = latest_.WhyUnknown(inputs[i]);
    if (why == LatestValues::Why::kNever || why == LatestValues::Why::kIncomplete) return false;
    if (!freshness_.IsFreshAt(inputs[i].signal, value.time)) return false;
    item.inputs[i] = latest_.Read(inputs[i]);
  }
  value.number = item.formula->Evaluate(item.inputs);
  value.raw = std::bit_cast<std::int64_t>(value.number);
  const auto& range = definitions_.signals[item.signal].range;
  if (std::isnan(value.number)) {
    value.validity = Validity::kAbsent;
  } else if (range && (value.number < range->low || value.number > range->high)) {
    value.validity = Validity::kOutOfRange;
  }
  return true;
}

}  // namespace proofdrive::decoders
