#include "output/report/strips.h"

#include <algorithm>
#include <array>

#include "analysis/verdicts/reasons.h"

namespace proofdrive::output {
namespace {

using decoders::WarningSpan;
using decoders::WarningStateKind;

// Off, unknown, on: what is shown when they share a piece of the strip.
int Weight(WarningStateKind kind) {
  switch (kind) {
    case WarningStateKind::kOff:
      return 1;
    case WarningStateKind::kUnknown:
      return 2;
    case WarningStateKind::kOn:
      return 3;
  }
  return 0;
}

constexpr std::array<const char*, 4> kClasses = {"none", "off", "unknown", "on"};

int ColumnOf(Duration at, Duration end) {
  if (end <= Duration(0)) return 0;
  const double share = ToSeconds(at) / ToSeconds(end);
  return static_cast<int>(std::clamp(share, 0.0, 1.0) * kStripColumns);
}

std::array<int, kStripColumns> Columns(const decoders::WarningHistory& history, WallTime start,
                                       Duration end) {
  std::array<int, kStripColumns> columns{};
  for (const WarningSpan& span : history.spans) {
    const int from = std::min(ColumnOf(span.from - start, end), kStripColumns - 1);
    const int to = std::clamp(ColumnOf(span.to - start, end), from + 1, kStripColumns);
    for (int i = from; i < to; ++i) {
      int& column = columns[static_cast<std::size_t>(i)];
      column = std::max(column, Weight(span.kind));
    }
  }
  return columns;
}

}  // namespace

Html StateStrip(const decoders::WarningHistory& history, WallTime start, Duration end) {
  const auto columns = Columns(history, start, end);
  std::string pieces;
  for (std::size_t from = 0; from < columns.size();) {
    std::size_t to = from + 1;
    while (to < columns.size() && columns[to] == columns[from]) ++to;
    pieces += "<rect x=\"" + std::to_string(from) + "\" width=\"" + std::to_string(to - from) +
              "\" height=\"10\" class=\"" + kClasses[static_cast<std::size_t>(columns[from])] +
              "\"/>";
    from = to;
  }
  return Html::FromTrusted("<svg class=\"strip\" viewBox=\"0 0 " + std::to_string(kStripColumns) +
                           " 10\" preserveAspectRatio=\"none\" aria-hidden=\"true\">" + pieces +
                           "</svg>");
}

Html StripAxis(Duration end) {
  return Tag("div", {{"class", "strip-axis"}},
             Tag("span", "0 s") + Tag("span", SpokenDuration(end)));
}

Html StripLegend() {
  return Html::Markup(
      "<p class=\"legend\"><span class=\"key on\"></span>on <span class=\"key off\"></span>off "
      "<span class=\"key unknown\"></span>not known</p>");
}

}  // namespace proofdrive::output
