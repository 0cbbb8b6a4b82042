#include <algorithm>
#include <cmath>

#include "core/base/text.h"
#include "tests/fleet/measure/check_input.h"
#include "tests/fleet/sensors/sent.h"
#include "tests/fleet/write/frames.h"
#include "tests/fleet/write/session_files.h"

namespace proofdrive::fleet {
namespace {

std::string Quoted(const std::string& text) { return "\"" + text + "\""; }

std::string StateList(const std::vector<StateName>& states) {
  std::string list;
  for (const StateName& state : states) {
    if (!list.empty()) list += ", ";
    list += std::to_string(state.value) + ": " + Quoted(state.name);
  }
  return "{" + list + "}";
}

// Every signal has a frame of its own, so that it keeps its own period.
std::string FrameText(const SentSignal& signal, std::size_t number) {
  const Place place = PlaceOf(signal);
  std::string text = "  " + signal.name +
                     "_frame:\n    bus: car\n    id: " + std::to_string(FrameId(number)) +
                     "\n    every: " + FormatDouble(std::ceil(1000 * signal.sensor.period_s)) +
                     " ms\n    length: 8\n";
  if (signal.is_series) text += "    page: {where: byte 0}\n    series:\n";
  if (!signal.is_series) text += "    signals:\n";
  text += "      " + signal.name + ": {";
  if (signal.is_series) {
    text += "first: byte 1, each: 2 bytes, per page: " + std::to_string(signal.per_page) +
            ", count: " + std::to_string(signal.elements.size());
  } else {
    text += "where: bytes 0-" + std::to_string(place.bytes - 1);
  }
  if (!signal.states.empty()) {
    text += ", states: " + StateList(signal.states);
  } else {
    text += ", scale: " + FormatDouble(signal.sensor.step) +
            ", offset: " + FormatDouble(signal.sensor.low) +
            ", unit: " + Quoted(signal.sensor.unit) +
            ", range: " + FormatDouble(signal.sensor.low) + ".." +
            FormatDouble(signal.sensor.high + signal.sensor.step);
  }
  text += ", role: " + signal.role;
  if (!signal.positive.empty()) text += ", positive: " + signal.positive;
  return text + "}\n";
}

}  // namespace

std::string DefinitionText(const Car& car, const Sent& sent) {
  std::string text = "# An invented car out of the dice: no such car exists.\nvehicle: Fleet " +
                     std::to_string(car.seed) + " (invented, " +
                     std::string(CellKindName(car.pack.kind)) + ")\n";
  const auto facts = FactsOf(car.facts);
  if (!facts.empty()) text += "facts:\n";
  for (const decoders::Fact& fact : facts) text += "  " + fact.name + ": " + fact.value + "\n";
  text += "byte order: big\nbuses: {car: {bitrate: 500000}}\nframes:\n";
  for (std::size_t i = 0; i < sent.signals.size(); ++i) text += FrameText(sent.signals[i], i);
  return text;
}

}  // namespace proofdrive::fleet
