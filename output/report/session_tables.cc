#include "output/report/session_tables.h"

#include <algorithm>
#include <cstdio>

#include "analysis/verdicts/reasons.h"
#include "core/base/text.h"
#include "output/words/comparison_words.h"

namespace proofdrive::output {
namespace {

using analysis::SessionFindings;
using analysis::SignalRecord;
using analysis::StreamTraffic;
using decoders::Signal;

// A silence this many periods long is worth a row, when it is also longer than kShortGap.
constexpr int kGapPeriods = 5;
constexpr Duration kShortGap = std::chrono::milliseconds(500);
constexpr std::size_t kMostGaps = 25;

std::string Fixed(double value, int decimals) {
  char text[48];
  std::snprintf(text, sizeof(text), "%.*f", decimals, value);
  return text;
}

std::string Number(double value) {
  char text[32];
  std::snprintf(text, sizeof(text), "%.6g", value);
  return text;
}

std::string StateOf(const Signal& signal, double value) {
  if (signal.scale == 0) return "";
  const double raw = (value - signal.offset) / signal.scale;
  for (const decoders::StateName& state : signal.states) {
    if (raw >= static_cast<double>(state.first) && raw <= static_cast<double>(state.last)) {
      return state.name;
    }
  }
  return "";
}

std::string ValueText(const Signal& signal, double value) {
  const std::string state = StateOf(signal, value);
  if (!state.empty()) return state;
  return Number(value) + (signal.unit.empty() ? "" : " " + signal.unit);
}

Html At(const Signal& signal, const analysis::Extreme& extreme) {
  std::string where = "at " + SpokenDuration(extreme.at);
  if (signal.is_series) where += ", number " + std::to_string(extreme.element + 1);
  return Html::Text(ValueText(signal, extreme.value) + " ") + Tag("small", where);
}

std::string Percent(double share) { return Fixed(share * 100, 1) + " %"; }

}  // namespace

Html TripTable(const SessionFindings& findings) {
  HtmlTable table({"figure", "value"});
  const auto add = [&](const char* what, const std::string& value) {
    table.Add({Html::Text(what), Html::Text(value)});
  };
  add("duration", SpokenDuration(findings.length));
  const analysis::TripFigures& trip = findings.trip;
  if (trip.distance_km) {
    add("distance", Fixed(*trip.distance_km, 2) + " km");
    add("time in motion", SpokenDuration(trip.moving));
  }
  if (trip.speed_missing) add("distance", "not known: speed was never received");
  if (trip.power_missing) {
    add("energy", "not known: pack voltage or current was never received");
  }
  if (trip.energy_out_kwh && trip.energy_in_kwh) {
    add("energy taken from the pack", Fixed(*trip.energy_out_kwh, 3) + " kWh");
    add("energy given to the pack", Fixed(*trip.energy_in_kwh, 3) + " kWh");
    if (trip.distance_km && *trip.distance_km >= 1) {
      const double used = *trip.energy_out_kwh - *trip.energy_in_kwh;
      add("used per distance", Fixed(used * 1000 / *trip.distance_km, 0) + " Wh/km");
    }
  }
  if (trip.not_counted > Duration(0)) {
    add("left out for silence of the sensors", SpokenDuration(trip.not_counted));
  }
  return table.Format();
}

Html RoleTable(const SessionFindings& findings) {
  if (findings.definitions == nullptr) return {};
  HtmlTable table({"role", "signal", "lowest", "highest", "last"});
  for (std::size_t i = 0; i < findings.signals.size(); ++i) {
    const Signal& signal = findings.definitions->signals[i];
    const SignalRecord& record = findings.signals[i];
    if (signal.role.empty()) continue;
    const Html name = Tag("span", {{"class", "id"}}, Html::Text(signal.name));
    if (!record.HasNumbers()) {
      table.Add({Html::Text(signal.role), name, Html::Text("not received"), {}, {}});
      continue;
    }
    table.Add({Html::Text(signal.role), name, At(signal, record.lowest), At(signal, record.highest),
               signal.is_series ? Html() : Html::Text(ValueText(signal, record.last))});
  }
  return table.empty() ? Html() : table.Format();
}

Html BusTable(const SessionFindings& findings) {
  HtmlTable table({"bus", "frames", "identifiers", "load at least", "busiest second",
                   "longest silence", "error messages"});
  for (const analysis::BusRecord& bus : findings.buses) {
    const auto identifiers = std::count_if(
        findings.traffic.begin(), findings.traffic.end(), [&](const StreamTraffic& stream) {
          return stream.channel == bus.channel && (stream.flags & kErrorMessage) == 0;
        });
    const bool rate = bus.bitrate > 0;
    table.Add({Html::Text(analysis::ChannelLabel(findings.header, bus.channel)),
               Html::Text(FormatCount(bus.frames)),
               Html::Text(FormatCount(static_cast<std::uint64_t>(identifiers))),
               Html::Text(rate ? Percent(bus.Load()) : "bit rate not known"),
               Html::Text(rate ? Percent(bus.PeakLoad()) : ""),
               Html::Text(bus.frames < 2 ? "-"
                                         : PeriodText(bus.longest_silence) + " from " +
                                               SpokenDuration(bus.silence_at)),
               Html::Text(FormatCount(bus.error_messages))});
  }
  return table.empty() ? Html() : table.Format();
}

Html GapTable(const SessionFindings& findings) {
  std::vector<const StreamTraffic*> gaps;
  for (const StreamTraffic& stream : findings.traffic) {
    const bool error = (stream.flags & kErrorMessage) != 0;
    if (!error && stream.frames > 10 && stream.longest_silence > kShortGap &&
        stream.longest_silence > kGapPeriods * stream.median_period) {
      gaps.push_back(&stream);
    }
  }
  std::stable_sort(gaps.begin(), gaps.end(), [](const StreamTraffic* a, const StreamTraffic* b) {
    return a->longest_silence > b->longest_silence;
  });
  HtmlTable table({"bus", "identifier", "one every", "longest silence"});
  for (const StreamTraffic* stream : std::span(gaps).first(std::min(gaps.size(), kMostGaps))) {
    table.Add({Html::Text(analysis::ChannelLabel(findings.header, stream->channel)),
               Tag("span", {{"class", "id"}},
                   Html::Text(StreamText({"", stream->id, stream->flags, stream->frame}))),
               Html::Text(PeriodText(stream->median_period)),
               Html::Text(SpokenDuration(stream->longest_silence))});
  }
  if (table.empty()) return {};
  Html html = table.Format();
  if (gaps.size() > kMostGaps) {
    html += Tag("p", "And " + FormatCount(gaps.size() - kMostGaps) + " more.");
  }
  return html;
}

}  // namespace proofdrive::output
