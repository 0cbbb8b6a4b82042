// Warnings and trouble codes in a report: one article each, with its verdict, the reason, and when
// it was on or what the status byte says.
#pragma once

#include <span>

#include "analysis/compare/comparison.h"
#include "analysis/compare/test_plan.h"
#include "output/sheet/html.h"

namespace proofdrive::output {

// "2 still on", "1 not proven", ...: numbers below the answer.
Html VerdictCounts(const analysis::Comparison& comparison);

// Every warning and code whose verdict is one of `verdicts`, in the order of the comparison.
Html WarningArticles(const analysis::Comparison& comparison,
                     std::span<const analysis::Verdict> verdicts);

// The same as a table, for verdicts that need no explanation.
Html WarningTable(const analysis::Comparison& comparison,
                  std::span<const analysis::Verdict> verdicts);

// What to do on the next recording; nothing when nothing is left to prove.
Html PlanSteps(const analysis::TestPlan& plan);

}  // namespace proofdrive::output
