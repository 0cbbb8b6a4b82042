#include "output/text/checks_text.h"

#include <algorithm>
#include <cmath>

#include "analysis/checking/draft.h"
#include "analysis/checking/guesses.h"
#include "core/base/text.h"
#include "decoders/language/keys.h"
#include "output/sheet/caution_text.h"
#include "output/sheet/table.h"
#include "output/text/coverage_text.h"
#include "output/words/comparison_words.h"
#include "output/words/topics.h"

namespace proofdrive::output {
namespace {

using analysis::CheckResult;
using analysis::CheckStatus;
using analysis::Spoken;

std::size_t CountWith(const std::vector<CheckResult>& results, CheckStatus status) {
  return static_cast<std::size_t>(
      std::count_if(results.begin(), results.end(),
                    [status](const CheckResult& result) { return result.status == status; }));
}

// A count or the number of a cell has no decimals.
std::string ValueText(const analysis::Figure& figure) {
  const bool whole = figure.unit.empty() && figure.value == std::floor(figure.value) &&
                     std::fabs(figure.value) < 1e9;
  return whole ? std::to_string(std::lround(figure.value)) : Spoken(figure.value);
}

std::string FigureText(const analysis::Figure& figure) {
  std::string text = figure.name + " " + ValueText(figure);
  if (figure.uncertainty) text += " +- " + Spoken(*figure.uncertainty);
  if (!figure.unit.empty()) text += " " + figure.unit;
  return figure.detail.empty() ? text : text + " (" + Printable(figure.detail) + ")";
}

std::string WindowText(const analysis::Window& window) {
  return std::string(window.used ? "used " : "left out ") +
         analysis::SpokenSeconds(analysis::TotalLength(window.intervals)) + " in " +
         CountOf(window.intervals.size(), "part") + ": " + window.what;
}

// Each with how it is known.
std::string SignalsText(const CheckResult& result, const analysis::RoleUse& role) {
  std::vector<std::string> signals;
  for (const std::string& name : role.signals) {
    const auto footing =
        std::find_if(result.stands_on.begin(), result.stands_on.end(),
                     [&](const analysis::Footing& one) { return one.name == name; });
    signals.push_back(name);
    if (footing == result.stands_on.end()) continue;
    signals.back() += " (" + std::string(KnownFromName(footing->known_from)) + ")";
  }
  return signals.empty() ? "-" : Printable(Join(signals, ", "));
}

template <class List, class Say>
std::string Lines(const char* title, const List& list, Say say) {
  std::string text;
  for (const auto& one : list) text += Paragraph("    - ", say(one));
  return text.empty() ? "" : std::string("  ") + title + "\n" + text;
}

// What an open check adds to its answer on one page: the findings that matter, and the one thing
// that would tell more.
constexpr std::size_t kMostFindings = 2;
std::string InShort(const CheckResult& result) {
  std::vector<std::string> lines = result.measured;
  for (const std::string& finding : result.findings) {
    if (lines.size() < result.measured.size() + kMostFindings) lines.push_back(finding);
  }
  if (!result.missing.empty()) lines.push_back("to tell more it needs " + result.missing.front());
  if (lines.empty()) return "";
  std::string text = result.title + ": " + std::string(CheckStatusName(result.status)) + "\n";
  for (const std::string& line : lines) text += Paragraph("  - ", line);
  return text + "\n";
}

std::string Details(const CheckResult& result) {
  const auto plain = [](const std::string& line) { return Printable(line); };
  const auto role_text = [&](const analysis::RoleUse& role) {
    return role.role + (role.needed ? " (needed)" : "") + ": " + SignalsText(result, role);
  };
  std::string text = result.title + ": " + std::string(CheckStatusName(result.status)) + "\n";
  text += Paragraph("  ", Printable(result.FirstSentence()));
  text += Lines("measured by hand", result.measured, plain);
  text += Lines("also", result.findings, plain);
  text += Lines("to tell more it needs", result.missing, plain);
  text += Lines("found", result.figures, FigureText);
  text += Lines("limits", result.limits, LimitText);
  text += Lines("recording", result.windows, WindowText);
  text += Lines("signals", result.roles, role_text);
  text += Lines("what else would look the same", result.alike, plain);
  return text;
}

bool IsOpen(const CheckResult& result) {
  return result.status == CheckStatus::kOutside || result.status == CheckStatus::kLookCloser;
}

int Urgency(const CheckResult& result) {
  switch (result.status) {
    case CheckStatus::kOutside:
      return 1;
    case CheckStatus::kLookCloser:
      return result.name == analysis::kDefinitionsCheck ? 0 : 2;
    case CheckStatus::kWithin:
      return 3;
    case CheckStatus::kCannotTell:
      break;
  }
  return 4;
}

// What several checks say of one place comes first.
std::string JoinedText(const std::vector<CheckResult>& results) {
  std::string text;
  for (const CheckResult& result : results) {
    for (const std::string& joined : result.joined) text += Paragraph("", Sentence(joined)) + "\n";
  }
  return text;
}

// Those that cannot tell stand below in a list of their own.
std::string AnswerTable(const std::vector<CheckResult>& results) {
  Table table({{"CHECK"}, {"ANSWER"}, {"WHY"}});
  for (const CheckResult& result : results) {
    if (result.status == CheckStatus::kCannotTell) continue;
    table.Add({result.name, std::string(CheckStatusName(result.status)),
               Printable(result.FirstSentence())});
  }
  return table.empty() ? "" : table.Format() + "\n";
}

std::string CannotTellText(const std::vector<CheckResult>& results) {
  Table table({{"CANNOT TELL"}, {"NEEDS"}});
  for (const CheckResult& result : results) {
    if (result.status != CheckStatus::kCannotTell) continue;
    // Some say what they found although it decides nothing.
    const bool missing = !result.missing.empty() && result.summary.starts_with("missing: ");
    table.Add({result.name, Printable(missing ? result.missing.front() : result.FirstSentence())});
  }
  return table.empty() ? "" : table.Format() + "\n";
}

// The check of the signals has all of them.
std::string MeasuredText(const std::vector<CheckResult>& results) {
  const analysis::CheckResult* signals = analysis::SignalsResult(results);
  if (signals == nullptr || signals->measured.empty()) return "";
  std::string text = "Measured by hand:\n";
  for (const std::string& one : signals->measured) text += Paragraph("  - ", one);
  return text + "\n";
}

// The first fact about the car that a check asks for; empty = none.
std::string MissingFact(const std::vector<CheckResult>& results) {
  for (const CheckResult& result : results) {
    for (const std::string& missing : result.missing) {
      for (const decoders::KeyRule& fact : decoders::kFactsRule.keys) {
        if (missing.find(fact.name) != std::string::npos) return std::string(fact.name);
      }
    }
  }
  return {};
}

// What could be judged comes first: "nothing is outside limits" is no news where little was judged.
std::string NoAlarm(std::size_t within, std::size_t untold, const std::string& of_all) {
  if (untold == 0) {
    return std::to_string(within) + of_all + (within == 1 ? " is" : " are") + " within limits";
  }
  return std::to_string(within) + of_all + " could be judged" +
         (within == 0 ? "; " : ": within limits; ") + std::to_string(untold) + " cannot tell";
}

struct StatusCounts {
  std::size_t outside = 0, closer = 0, within = 0, untold = 0;
};

// Without its full stop.
std::string CountsText(const StatusCounts& counts, std::size_t all) {
  const std::string of_all = " of " + CountOf(all, "check");
  if (counts.outside + counts.closer == 0) return NoAlarm(counts.within, counts.untold, of_all);
  std::vector<std::string> parts;
  const auto add = [&](std::size_t count, const char* one, const char* many) {
    if (count == 0) return;
    parts.push_back(std::to_string(count) + (parts.empty() ? of_all : "") +
                    (count == 1 ? one : many));
  };
  add(counts.outside, " is outside limits", " are outside limits");
  add(counts.closer, " asks to look closer", " ask to look closer");
  add(counts.within, " is within limits", " are within limits");
  add(counts.untold, " cannot tell", " cannot tell");
  return Enumerate(parts);
}

}  // namespace

std::string RestOnGuesses(std::size_t count, const std::string& noun) {
  return CountOf(count, noun) + (count == 1 ? " rests" : " rest") +
         " on what is only a guess or known from a survey.";
}

std::string LimitText(const analysis::UsedLimit& limit) {
  std::string text = limit.name + " " + Spoken(limit.value);
  if (!limit.unit.empty()) text += " " + limit.unit;
  return text + " [" + std::string(MarkName(limit.mark)) + ": " + limit.source + "]";
}

std::string CheckHeadline(const std::vector<CheckResult>& results) {
  const std::size_t outside = CountWith(results, CheckStatus::kOutside);
  const std::size_t closer = CountWith(results, CheckStatus::kLookCloser);
  const std::size_t untold = CountWith(results, CheckStatus::kCannotTell);
  const std::size_t within = CountWith(results, CheckStatus::kWithin);
  const std::size_t unsure = analysis::AnswersWithProviso(results);
  const std::string guesses = analysis::AllGuessesSentence(results);
  return guesses + (guesses.empty() ? "" : " ") +
         CountsText({outside, closer, within, untold}, results.size()) +
         (unsure == 0 ? "." : "; " + RestOnGuesses(unsure, "answer"));
}

std::string CheckHeadline(const std::vector<CheckResult>& results,
                          const analysis::Coverage& coverage) {
  const std::string described = CoverageText(coverage);
  if (coverage.Nothing()) return described;
  return CheckHeadline(results) + (described.empty() ? "" : " " + described);
}

std::vector<Caution> CheckCautions() {
  const CautionContext contexts[] = {CautionContext::kTouch, CautionContext::kCharge};
  return AllCautions(contexts);
}

std::vector<CheckResult> ByUrgency(std::vector<CheckResult> results) {
  std::stable_sort(results.begin(), results.end(), [](const CheckResult& a, const CheckResult& b) {
    return Urgency(a) < Urgency(b);
  });
  return results;
}

std::string FormatChecks(const std::vector<CheckResult>& results, bool all,
                         const analysis::Coverage& coverage) {
  const std::vector<CheckResult> urgent = ByUrgency(results);
  std::string text =
      Paragraph("", CheckHeadline(results, coverage)) + "\n" + CautionText(CheckTopics(results)) +
      "\n" + JoinedText(results) + AnswerTable(urgent) +
      (coverage.Nothing() && !all ? "" : CannotTellText(results)) + MeasuredText(results);
  for (const CheckResult& result : urgent) {
    if (all) {
      text += Details(result) + "\n";
    } else if (IsOpen(result)) {
      text += InShort(result);
    }
  }
  if (const std::string fact = MissingFact(results); !fact.empty()) {
    text += Paragraph("", "Facts about the car, such as " + fact +
                              ", are stated once below \"facts:\" in its definition file, or with "
                              "--set NAME=VALUE.") +
            "\n";
  }
  if (all) return text + FurtherCautions(CheckCautions(), CheckTopics(results));
  return text + Paragraph("",
                          "What each answer rests on (figures, limits with their sources, parts of "
                          "the recording, what else would look the same) and further cautions: "
                          "add --all.");
}

}  // namespace proofdrive::output
