// The checks of many sessions as text: answers, figures over time, what the trends say.
#pragma once

#include <string>
#include <vector>

#include "analysis/history/check_history.h"

namespace proofdrive::output {

// `starts`: of the sessions, in the same order. Nothing when no check could tell anything and no
// figure is known.
std::string FormatCheckHistory(const analysis::CheckHistory& history,
                               const std::vector<WallTime>& starts);

// "falls by 15.3 % a day ...: getting worse". One sentence without a full stop.
std::string TrendText(const analysis::FigureRow& row, WallTime first);

}  // namespace proofdrive::output
