// One line per warning and session: when it was on, off or not known. A drawing, so that it prints.
#pragma once

#include "analysis/findings/session_findings.h"
#include "output/sheet/html.h"

namespace proofdrive::output {

// `end`: session time at the right edge. No more than kStripColumns pieces, however often the
// warning came and went: where several states fall on one piece, on is shown before unknown before
// off.
inline constexpr int kStripColumns = 600;
Html StateStrip(const decoders::WarningHistory& history, WallTime start, Duration end);

// The times below a strip: "0 s" on the left, the end on the right.
Html StripAxis(Duration end);

// What the shades of a strip mean.
Html StripLegend();

}  // namespace proofdrive::output
