#include "output/text/signal_summary.h"

#include <algorithm>
#include <cstdio>
#include <utility>

#include "core/base/text.h"
#include "core/frame/frame.h"
#include "decoders/signals/text_value.h"
#include "output/sheet/table.h"
#include "output/text/fault_text.h"
#include "output/words/signal_words.h"

namespace proofdrive::output {
namespace {

using decoders::Signal;
using decoders::Validity;

// Six significant digits are plenty for a glance; exact values are in the other formats.
std::string Short(double number) {
  char text[32];
  std::snprintf(text, sizeof(text), "%.6g", number);
  return text;
}

std::string LatestText(const Signal& signal, const SignalSummary& summary) {
  if (signal.is_series) {
    const auto seen = std::count_if(summary.latest.begin(), summary.latest.end(),
                                    [](const auto& value) { return value.time != WallTime(); });
    return std::to_string(seen) + " of " + std::to_string(signal.count) + " elements";
  }
  const decoders::Value& latest = summary.latest[0];
  if (latest.validity == Validity::kAbsent) return "absent";
  if (signal.encoding == decoders::Encoding::kText) return summary.latest_texts[0];
  const std::string state = StateText(signal, latest);
  if (state.empty()) return Short(latest.number);
  return StateIndex(signal, latest.raw) >= 0 ? state : Short(latest.number) + " " + state;
}

// "off (12), low (3), high (1,900)": in brackets, or the commas would be read as one list.
std::string StatesSeen(const Signal& signal, const SignalSummary& summary) {
  std::vector<std::string> parts;
  for (std::size_t i = 0; i < signal.states.size(); ++i) {
    if (summary.state_counts[i] == 0) continue;
    parts.push_back(signal.states[i].name + " (" + FormatCount(summary.state_counts[i]) + ")");
  }
  return Join(parts, ", ");
}

std::string Remarks(const Signal& signal, const SignalSummary& summary) {
  std::vector<std::string> parts;
  if (const std::string states = StatesSeen(signal, summary); !states.empty()) {
    parts.push_back(states);
  }
  if (summary.absent > 0) parts.push_back(FormatCount(summary.absent) + " absent");
  if (summary.out_of_range > 0) {
    parts.push_back(FormatCount(summary.out_of_range) + " out of range");
  }
  return Join(parts, "; ");
}

std::vector<std::string> SignalRow(const Signal& signal, const SignalSummary& summary) {
  const bool never = summary.values + summary.absent == 0;
  const bool numbers =
      summary.values > 0 && signal.states.empty() && signal.encoding != decoders::Encoding::kText;
  return {signal.name,
          never ? "-" : LatestText(signal, summary),
          numbers ? Short(summary.lowest) : "",
          numbers ? Short(summary.highest) : "",
          signal.unit,
          FormatCount(summary.values + summary.absent),
          never ? "not received" : Remarks(signal, summary)};
}

}  // namespace

SessionSummary::SessionSummary(const decoders::Definitions& all, std::vector<bool> shown)
    : definitions(&all), chosen(std::move(shown)) {
  for (const Signal& signal : all.signals) {
    SignalSummary one;
    one.latest.resize(std::max(signal.count, 1U));
    one.latest_texts.resize(one.latest.size());
    one.state_counts.resize(signal.states.size());
    signals.push_back(std::move(one));
  }
}

void SessionSummary::Add(const decoders::Value& value, ByteSpan payload) {
  SignalSummary& one = signals[value.signal];
  one.latest[value.element] = value;
  if (value.validity == Validity::kAbsent) {
    ++one.absent;
    return;
  }
  ++one.values;
  const Signal& signal = definitions->signals[value.signal];
  if (signal.encoding == decoders::Encoding::kText) {
    one.latest_texts[value.element] = decoders::TextOf(signal, value.element, payload).value_or("");
    return;
  }
  if (value.validity == Validity::kOutOfRange) ++one.out_of_range;
  one.lowest = std::min(one.lowest, value.number);
  one.highest = std::max(one.highest, value.number);
  const int state = StateIndex(signal, value.raw);
  if (state >= 0) ++one.state_counts[static_cast<std::size_t>(state)];
}

std::string FormatSummary(const SessionSummary& summary) {
  using Align = Table::Align;
  Table table({{"SIGNAL"},
               {"LATEST", Align::kRight},
               {"LOWEST", Align::kRight},
               {"HIGHEST", Align::kRight},
               {"UNIT"},
               {"VALUES", Align::kRight},
               {"REMARKS"}});
  for (std::size_t i = 0; i < summary.signals.size(); ++i) {
    if (!summary.chosen[i]) continue;
    table.Add(SignalRow(summary.definitions->signals[i], summary.signals[i]));
  }
  const std::string when = summary.from > Duration(0) ? " from " + SpokenDuration(summary.from) +
                                                            " to " + SpokenDuration(summary.length)
                                                      : " in " + SpokenDuration(summary.length);
  return CountOf(summary.frames, "frame") + when + ", " + FormatCount(summary.not_described) +
         " of them not described by the definitions.\n\n" + table.Format() + "\n" +
         FormatFaults(FramesWithFaults(*summary.definitions, summary.faults));
}

}  // namespace proofdrive::output
