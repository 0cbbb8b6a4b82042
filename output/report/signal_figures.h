// Which signals a report plots, and their figures.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "analysis/compare/comparison.h"
#include "output/report/charts.h"
#include "output/report/recordings.h"

namespace proofdrive::output {

// More plots than this are left out: a report stays a few megabytes for sessions of any length.
inline constexpr std::size_t kMostFigures = 40;
// Points of a curve: about one per pixel of a wide plot.
inline constexpr std::size_t kCurvePoints = 1000;

// Signals the warnings depend on, in the order of `warnings` (names), then those with a role.
// Signals without a curve in every one of `recordings` are left out.
std::vector<std::uint32_t> FigureSignals(const decoders::Definitions& definitions,
                                         std::span<const std::string> warnings,
                                         std::span<const Recording> recordings);

// One figure per signal, one plot per recording in it.
Html SignalFigures(const decoders::Definitions& definitions, std::span<const std::uint32_t> signals,
                   std::span<const Recording> recordings, Charts& charts);

}  // namespace proofdrive::output
