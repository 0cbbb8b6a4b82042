#include "output/text/history_text.h"

#include <algorithm>
#include <cmath>
#include <cstdio>

#include "analysis/verdicts/reasons.h"
#include "core/base/text.h"
#include "output/sheet/caution_text.h"
#include "output/sheet/table.h"
#include "output/text/check_history_text.h"
#include "output/text/checks_text.h"
#include "output/text/coverage_text.h"
#include "output/words/comparison_words.h"
#include "output/words/topics.h"

namespace proofdrive::output {
namespace {

using analysis::History;
using analysis::HistoryCell;
using analysis::HistorySession;
using analysis::WarningRow;
using Align = Table::Align;

// With fewer sessions the bound is above half of them: it would sound like an answer.
constexpr std::size_t kFewestForBound = 5;

// Four letters at most, so that a dozen sessions fit on a page.
std::string ShortCell(HistoryCell cell) {
  switch (cell) {
    case HistoryCell::kNotDefined:
      return "";
    case HistoryCell::kUnknown:
      return "?";
    case HistoryCell::kOnAtEnd:
      return "ON";
    case HistoryCell::kWasOn:
      return "on";
    case HistoryCell::kTested:
      return "off+";
    case HistoryCell::kOff:
      return "off";
  }
  return "";
}

std::string Percent(double share) {
  char text[32];
  std::snprintf(text, sizeof(text), "%.0f %%", std::ceil(share * 100));
  return text;
}

std::string SessionList(const History& history) {
  Table table({{"NO", Align::kRight}, {"START"}, {"STAGE"}, {"LENGTH"}, {"SESSION"}});
  for (std::size_t i = 0; i < history.sessions.size(); ++i) {
    const HistorySession& one = history.sessions[i];
    const std::string stage(StageName(one.header.stage));
    table.Add({std::to_string(i + 1), FormatWallTime(one.start, 0), stage.empty() ? "-" : stage,
               SpokenDuration(one.length),
               Printable(one.path) + (one.damaged ? " (parts are lost)" : "")});
  }
  return table.Format();
}

std::string Matrix(const History& history) {
  std::vector<Table::Column> columns = {{"WARNING"}};
  for (std::size_t i = 0; i < history.sessions.size(); ++i) {
    columns.push_back({std::to_string(i + 1)});
  }
  columns.push_back({"WHAT IT SAYS"});
  Table table(std::move(columns));
  for (const WarningRow& row : history.warnings) {
    std::vector<std::string> cells = {Printable(row.name)};
    for (const HistoryCell cell : row.cells) cells.push_back(ShortCell(cell));
    cells.push_back(RecurrenceText(row));
    table.Add(std::move(cells));
  }
  return table.Format();
}

std::string Sessions(std::size_t count) { return CountOf(count, "session"); }

std::string Since(const WarningRow& row) {
  if (row.off_since == 0) return "nothing known since";
  std::string text = "off in " + Sessions(row.off_since) + " since";
  if (row.tested_since == 0) return text + ", none put it to the test";
  text += ", put to the test in " + std::to_string(row.tested_since) + ": ";
  if (row.tested_since < kFewestForBound) return text + "too few to say how often it comes";
  return text + "with 95 % confidence it comes in at most " +
         Percent(analysis::RecurrenceBound(row.tested_since)) + " of such sessions";
}

std::string NeverOn(const WarningRow& row) {
  return row.tested_since > 0 ? "never on; put to the test in " + Sessions(row.tested_since)
                              : "never on, never put to the test";
}

// " These definitions describe no identifier of session 1 and 3: nothing can be judged there."
std::string NotDescribedIn(const History& history) {
  std::vector<std::string> numbers;
  for (std::size_t i = 0; i < history.sessions.size(); ++i) {
    if (history.sessions[i].coverage.Nothing()) numbers.push_back(std::to_string(i + 1));
  }
  if (numbers.empty()) {
    const std::string few = CoverageText(history.sessions.back().coverage, "the latest session");
    return few.empty() ? "" : " " + few;
  }
  return " These definitions describe no identifier of session " + Enumerate(numbers) +
         ": nothing can be judged there.";
}

// Of the checks of the latest session, and of warnings that are on.
std::vector<CautionTopic> TopicsOf(const History& history, const analysis::CheckHistory& checks) {
  std::vector<analysis::CheckResult> latest;
  for (const analysis::CheckAnswers& answers : checks.checks) {
    if (answers.answers.empty()) continue;
    analysis::CheckResult& result = latest.emplace_back();
    result.name = answers.name;
    result.status = answers.answers.back();
  }
  std::vector<CautionTopic> topics = CheckTopics(latest);
  if (history.AnyOn() || history.AnyUnproven()) topics.push_back(CautionTopic::kPack);
  return topics;
}

// "With 95 % confidence ..." stands somewhere in the matrix.
bool HasBound(const History& history) {
  return std::any_of(history.warnings.begin(), history.warnings.end(), [](const WarningRow& row) {
    return row.off_since > 0 && row.tested_since >= kFewestForBound;
  });
}

std::string BoundNote() {
  return Paragraph("",
                   "The bound holds for independent sessions of the same kind: several drives in "
                   "one warm afternoon are one opportunity for a fault that comes with cold or "
                   "damp.");
}

}  // namespace

std::string RecurrenceText(const WarningRow& row) {
  if (row.known == 0) return "never known";
  if (row.on == 0) return NeverOn(row) + row.proviso;
  std::string text = "on in " + std::to_string(row.on) + " of " + Sessions(row.known);
  if (row.first_set) text += ", first " + FormatWallTime(*row.first_set, 0);
  if (row.last_set && row.last_set != row.first_set) {
    text += ", last " + FormatWallTime(*row.last_set, 0);
  }
  if (row.returns > 0) text += ", came back " + CountOf(row.returns, "time");
  return text + (row.OnNow() ? "; on in the latest that knows it" : "; " + Since(row)) +
         row.proviso;
}

std::string HistoryHeadline(const History& history) {
  if (history.NothingDescribed()) return CoverageText(history.sessions.back().coverage);
  const std::size_t total = history.warnings.size();
  const std::string where = " in " + Sessions(history.sessions.size());
  if (total == 0)
    return "No warning could be judged" + where + ": there are no definitions of any.";
  const auto count = [&](auto&& holds) {
    return static_cast<std::size_t>(
        std::count_if(history.warnings.begin(), history.warnings.end(), holds));
  };
  const auto of = [](std::size_t n, const char* one, const char* more) {
    return std::to_string(n) + (n == 1 ? one : more);
  };
  const std::size_t on = count([](const WarningRow& row) { return row.OnNow(); });
  const std::size_t open = count([](const WarningRow& row) { return row.Unproven(); });
  const std::size_t never = count([](const WarningRow& row) { return row.known == 0; });
  if (never == total) {
    return "0 of " + CountOf(total, "warning") + " could be judged" + where +
           ": what they depend on was never received." + NotDescribedIn(history);
  }
  const std::size_t tested = count([](const WarningRow& row) {
    return !row.OnNow() && !row.Unproven() && row.last_on && row.tested_since > 0;
  });
  std::string guesses = history.AllGuessesSentence();
  if (!guesses.empty()) guesses += " ";
  const std::size_t unsure = count([](const WarningRow& row) { return !row.proviso.empty(); });
  const std::string after =
      (unsure == 0 ? "" : " " + RestOnGuesses(unsure, "warning")) + NotDescribedIn(history);
  if (on == 0 && never > 0) {
    return guesses + std::to_string(total - never) + " of " + CountOf(total, "warning") +
           " could be judged: off in the latest session that knows " +
           (total - never == 1 ? "it" : "them") + "; " +
           of(never, " was never known.", " were never known.") + after;
  }
  std::vector<std::string> parts = {
      std::to_string(on) + " of " + CountOf(total, "warning") +
      (on <= 1 ? " was on when last known" : " were on when last known")};
  if (open > 0) parts.push_back(of(open, " is not proven", " are not proven"));
  if (never > 0) parts.push_back(of(never, " was never known", " were never known"));
  if (tested > 0) {
    parts.push_back(
        of(tested, " stayed off when put to the test", " stayed off when put to the test"));
  }
  return guesses + Enumerate(parts) + "." + after;
}

std::string FormatHistory(const History& history, const analysis::CheckHistory& checks) {
  std::string text = Paragraph("", HistoryHeadline(history)) + "\n" +
                     CautionText(TopicsOf(history, checks)) + "\n" + SessionList(history) + "\n";
  if (!history.warnings.empty() && !history.NothingDescribed()) {
    text += Matrix(history) + "\n" +
            Paragraph("",
                      "ON: on when last known; on: was on, off when last known; off+: off and "
                      "put to the test; off: off, not put to the test; ?: not known.") +
            (HasBound(history) ? BoundNote() : "") + "\n";
  }
  std::vector<WallTime> starts;
  for (const HistorySession& session : history.sessions) starts.push_back(session.start);
  return text + FormatCheckHistory(checks, starts);
}

}  // namespace proofdrive::output
