#include "tests/fleet/measure/check_input.h"

#include <cmath>
#include <utility>

#include "core/base/text.h"

namespace proofdrive::fleet {
namespace {

analysis::RoleSignal SignalOf(SentSignal& sent) {
  analysis::RoleSignal signal;
  signal.role = sent.role;
  signal.name = sent.name;
  signal.is_series = sent.is_series;
  signal.positive = sent.positive;
  for (const StateName& state : sent.states) {
    signal.states.push_back({state.value, state.value, state.name});
  }
  for (SentTrack& track : sent.elements) {
    analysis::Track& out = signal.elements.emplace_back();
    out.time_s = std::move(track.time_s);
    out.value = std::move(track.value);
  }
  if (!sent.states.empty()) {
    signal.step = 1;
    return signal;
  }
  const Sensor& sensor = sent.sensor;
  const auto said = [&](double value) { return value * sensor.said_scale + sensor.said_offset; };
  const auto convert = [&](double value) { return said(value * sensor.factor + sensor.offset); };
  if (sensor.said_scale != 1 || sensor.said_offset != 0) {
    for (analysis::Track& track : signal.elements) {
      for (double& value : track.value) value = said(value);
    }
  }
  for (const auto& [role, unit] : RoleUnits()) {
    if (role == sent.role) signal.unit = unit;
  }
  signal.step = std::fabs(sensor.step * sensor.factor * sensor.said_scale);
  signal.range_low = convert(sensor.low);
  signal.range_high = convert(sensor.high);
  signal.largest_raw = convert(sensor.low + 65535 * sensor.step);
  return signal;
}

}  // namespace

analysis::CheckInput InputOf(Sent sent) {
  analysis::CheckInput input;
  input.length_s = sent.length_s;
  for (SentSignal& signal : sent.signals) input.signals.push_back(SignalOf(signal));
  return input;
}

std::vector<decoders::Fact> FactsOf(const Facts& facts) {
  std::vector<decoders::Fact> list;
  if (!facts.chemistry.empty()) list.push_back({"pack.chemistry", facts.chemistry});
  if (!facts.curve.empty()) list.push_back({"pack.curve", facts.curve});
  const auto add = [&list](const char* name, double value) {
    if (value > 0) list.push_back({name, FormatDouble(value)});
  };
  add("pack.cells", facts.cells);
  add("pack.cell_most", facts.cell_most_v);
  add("pack.working_voltage", facts.working_v);
  add("pack.capacity", facts.capacity_ah);
  add("pack.usable_energy", facts.usable_kwh);
  add("pack.heat_capacity", facts.heat_kj_per_k);
  add("precharge.resistor", facts.precharge_ohm);
  add("cooling.pump_index", facts.pump_index_w);
  add("cooling.pump_speed", facts.pump_rpm);
  add("cooling.flow_index", facts.flow_index_l);
  return list;
}

analysis::CheckSettings SettingsOf(const Facts& facts) {
  analysis::CheckSettings settings;
  settings.AddFacts(FactsOf(facts));
  return settings;
}

}  // namespace proofdrive::fleet
