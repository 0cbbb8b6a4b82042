#include "output/report/change_tables.h"

#include "core/base/text.h"
#include "output/comparison_words.h"

namespace proofdrive::output {
namespace {

using analysis::Comparison;
using analysis::OneSided;
using analysis::StreamName;

void AddStream(HtmlTable& table, const char* what, const StreamName& stream,
               const std::string& detail) {
  table.Add({Html::Text(what), Html::Text(stream.bus),
             Tag("span", {{"class", "id"}}, Html::Text(StreamText(stream))), Html::Text(detail)});
}

std::string DetailOf(const OneSided& stream) {
  std::string detail = CountOf(stream.frames, "frame");
  if (stream.may_be_chance) return detail + ", may be chance";
  const std::string period = PeriodText(stream.median_period);
  return period.empty() ? detail : detail + ", one every " + period;
}

Html TrafficTable(const analysis::TrafficComparison& traffic) {
  HtmlTable table({"change", "bus", "identifier", "detail"});
  for (const OneSided& one : traffic.only_before) {
    AddStream(table, "only before", one.stream, DetailOf(one));
  }
  for (const OneSided& one : traffic.only_after) {
    AddStream(table, "only after", one.stream, DetailOf(one));
  }
  for (const analysis::PeriodChange& one : traffic.period) {
    AddStream(table, "period", one.stream,
              PeriodText(one.before) + " before, " + PeriodText(one.after) + " after");
  }
  for (const analysis::LengthChange& one : traffic.length) {
    AddStream(table, "length", one.stream,
              LengthsText(one.before) + " before, " + LengthsText(one.after) + " after");
  }
  return table.empty() ? Html() : table.Format();
}

Html FaultTable(const Comparison& comparison) {
  HtmlTable table({"frame", "fault", "before", "after"});
  if (comparison.after.definitions == nullptr) return {};
  const auto add = [&](const std::string& frame, const char* fault, std::uint64_t before,
                       std::uint64_t after) {
    if (before + after == 0) return;
    table.Add({Tag("span", {{"class", "id"}}, Html::Text(frame)), Html::Text(fault),
               Html::Text(FormatCount(before)), Html::Text(FormatCount(after))});
  };
  for (std::size_t i = 0; i < comparison.after.faults.size(); ++i) {
    const decoders::FrameFaults& a = comparison.before.faults[i];
    const decoders::FrameFaults& b = comparison.after.faults[i];
    const std::string& name = comparison.after.definitions->frames[i].name;
    add(name, "counter out of step", a.counter_faults, b.counter_faults);
    add(name, "checksum wrong", a.checksum_faults, b.checksum_faults);
    add(name, "length wrong", a.wrong_length, b.wrong_length);
  }
  return table.empty() ? Html() : Tag("h3", "Frames with faults") + table.Format();
}

}  // namespace

Html ChangeTables(const Comparison& comparison) {
  Html traffic = TrafficTable(comparison.traffic);
  const std::string both =
      FormatCount(comparison.traffic.in_both) +
      (comparison.traffic.in_both == 1 ? " identifier was" : " identifiers were") +
      " seen in both sessions";
  const Html lead = Tag("p", traffic.empty() ? both +
                                                   ", with the same period and length; none in "
                                                   "only one of them."
                                             : both + "; what differs:");
  return Tag("h3", "Traffic") + lead + traffic + FaultTable(comparison);
}

}  // namespace proofdrive::output
