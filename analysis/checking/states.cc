#include "analysis/checking/states.h"

#include "decoders/model/meanings.h"

namespace proofdrive::analysis {
namespace {

using decoders::Meaning;
using decoders::StateName;

const StateName* StateOf(const RoleSignal& signal, double value) {
  for (const StateName& state : signal.states) {
    if (value >= static_cast<double>(state.first) && value <= static_cast<double>(state.last)) {
      return &state;
    }
  }
  return nullptr;
}

std::string WriteLine(const std::string& raw, const std::string& name, const std::string& role) {
  return ": write in its definition states: {" + raw + ": {name: " + name + ", means: ...}} with " +
         decoders::MeaningChoices(role);
}

std::string WhyNot(const RoleSignal& signal, const StateName* state, double value) {
  if (state == nullptr) {
    const std::string raw = std::to_string(static_cast<std::int64_t>(value));
    return "has the value " + raw + ", which has no name" + WriteLine(raw, "...", signal.role);
  }
  std::string raw = std::to_string(state->first);
  if (state->first != state->last) raw += ".." + std::to_string(state->last);
  return "has the state \"" + state->name + "\", which is not understood" +
         WriteLine(raw, state->name, signal.role);
}

}  // namespace

std::string UnderstandStates(RoleSignal& signal) {
  if (decoders::MeaningsOf(signal.role).empty()) return "";
  for (StateName& state : signal.states) {
    if (state.means != Meaning::kNotUnderstood) continue;
    state.means = decoders::MeaningOfName(signal.role, state.name);
  }
  if (signal.states.empty() && decoders::MayBeNumbers(signal.role)) return "";
  std::string why;
  for (Track& track : signal.elements) {
    Track known;
    for (std::size_t i = 0; i < track.size(); ++i) {
      const StateName* state = StateOf(signal, track.value[i]);
      const Meaning means = state == nullptr ? Meaning::kNotUnderstood : state->means;
      if (means == Meaning::kUnknown) continue;
      if (means == Meaning::kNotUnderstood && why.empty()) {
        why = WhyNot(signal, state, track.value[i]);
      }
      known.Add(track.time_s[i], track.value[i]);
    }
    track = std::move(known);
  }
  return why;
}

}  // namespace proofdrive::analysis
