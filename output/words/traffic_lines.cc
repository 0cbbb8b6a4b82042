// TrafficLines and TrafficLead of comparison_words.h.
#include <cstdio>

#include "core/base/text.h"
#include "output/words/comparison_words.h"

namespace proofdrive::output {
namespace {

using analysis::OneSided;
using analysis::StreamName;
using analysis::TrafficComparison;

std::string Spoken(const char* format, double a) {
  char text[64];
  std::snprintf(text, sizeof(text), format, a);
  return text;
}

std::string OneSidedText(const OneSided& stream) {
  const std::string detail = CountOf(stream.frames, "frame");
  if (stream.may_be_chance) return detail + ", may be chance";
  const std::string period = PeriodText(stream.median_period);
  return period.empty() ? detail : detail + ", one every " + period;
}

std::string RateText(const analysis::RateChange& change) {
  std::string text = CountOf(change.after, "frame") + " (" + Spoken("%.3g", change.after_per_s) +
                     " per second), before " + FormatCount(change.before) + " (" +
                     Spoken("%.3g", change.before_per_s) + " per second)";
  if (change.after > change.before && change.after_period > Duration(0)) {
    text += "; within bursts one every " + PeriodText(change.after_period);
  }
  return text;
}

std::string JitterText(const analysis::JitterChange& change) {
  const auto span = [](Duration low, Duration high) {
    return PeriodText(low) + " to " + PeriodText(high);
  };
  return "98 % of the intervals are " + span(change.low_after, change.high_after) + ", before " +
         span(change.low_before, change.high_before);
}

std::string BitText(const analysis::BitChange& change) {
  std::vector<std::string> parts;
  if (!change.began.empty()) parts.push_back("now always moving: " + change.began);
  if (!change.stopped.empty()) parts.push_back("no longer moving: " + change.stopped);
  return Join(parts, "; ");
}

// A sender off the bus for a moment makes every identifier late: one line says it.
void AddBuses(const TrafficComparison& traffic, std::vector<TrafficLine>& lines) {
  for (const analysis::BusChange& bus : traffic.buses) {
    for (const std::string& reason : bus.reasons) {
      lines.push_back({"whole bus", bus.bus, "", reason});
    }
  }
  for (const std::string& unit : traffic.silent_units) {
    lines.push_back({"silent unit", "", unit, "asked in both sessions, answers in the first only"});
  }
}

void AddOneSided(const std::vector<OneSided>& streams, const char* what,
                 std::vector<TrafficLine>& lines) {
  for (const OneSided& one : streams) {
    lines.push_back({what, one.stream.bus, StreamText(one.stream), OneSidedText(one)});
  }
}

std::string FaultText(const analysis::FaultChange& fault) {
  return FormatCount(fault.after) + " " + fault.fault + " faults in " +
         CountOf(fault.frames_after, "frame") + ", before " + FormatCount(fault.before) + " in " +
         FormatCount(fault.frames_before);
}

}  // namespace

std::vector<TrafficLine> TrafficLines(const TrafficComparison& traffic) {
  std::vector<TrafficLine> lines;
  const auto add = [&](const char* what, const StreamName& stream, const std::string& detail) {
    lines.push_back({what, stream.bus, StreamText(stream), detail});
  };
  AddBuses(traffic, lines);
  for (const auto& one : traffic.moved) {
    add("moved", one.after, StreamText(one.before) + " before; both are read as one frame");
  }
  AddOneSided(traffic.only_before, "only before", lines);
  AddOneSided(traffic.only_after, "only after", lines);
  for (const auto& one : traffic.rate) add("rate", one.stream, RateText(one));
  for (const auto& one : traffic.period) {
    add("period", one.stream,
        "one every " + PeriodText(one.before) + " before, " + PeriodText(one.after) + " after");
  }
  for (const auto& one : traffic.jitter) add("jitter", one.stream, JitterText(one));
  for (const auto& one : traffic.length) {
    add("length", one.stream,
        LengthsText(one.before) + " before, " + LengthsText(one.after) + " after");
  }
  for (const auto& one : traffic.bits) add("bits", one.stream, BitText(one));
  for (const auto& one : traffic.constants) {
    add("constant", one.stream, "not described, never another value within a session: " + one.what);
  }
  for (const auto& one : traffic.faults) lines.push_back({"faults", "", one.frame, FaultText(one)});
  return lines;
}

std::string TrafficLead(const TrafficComparison& traffic) {
  const std::string both = FormatCount(traffic.in_both) +
                           (traffic.in_both == 1 ? " identifier was" : " identifiers were") +
                           " seen in both sessions";
  if (!TrafficLines(traffic).empty()) return both + "; what differs:";
  return both + ", with the same period and length; none in only one of them.";
}

}  // namespace proofdrive::output
