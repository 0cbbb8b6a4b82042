#include "output/report/check_section.h"

#include <algorithm>

#include "analysis/checking/draft.h"
#include "core/base/text.h"
#include "output/report/page.h"
#include "output/text/checks_text.h"
#include "output/words/comparison_words.h"

namespace proofdrive::output {
namespace {

using analysis::CheckResult;
using analysis::CheckStatus;
using analysis::Curve;

// The colour of a warning with the same urgency.
const char* ClassOf(CheckStatus status) {
  switch (status) {
    case CheckStatus::kOutside:
      return "open";
    case CheckStatus::kLookCloser:
      return "unproven";
    case CheckStatus::kCannotTell:
      return "quiet";
    case CheckStatus::kWithin:
      return "within";
  }
  return "quiet";
}

bool Asks(const CheckResult& result) {
  return result.status == CheckStatus::kOutside || result.status == CheckStatus::kLookCloser;
}

Html Answer(const CheckResult& result) {
  return Tag("div", {{"class", ClassOf(result.status)}},
             Tag("span", {{"class", "verdict"}}, Html::Text(CheckStatusName(result.status))));
}

Html AnswerTable(const std::vector<CheckResult>& results) {
  HtmlTable table({"check", "answer", "why"});
  for (const CheckResult& result : ByUrgency(results)) {
    const bool untold = result.status == CheckStatus::kCannotTell && !result.missing.empty();
    table.Add({Html::Text(result.title), Answer(result),
               Html::Text(untold ? "needs " + result.missing.front() : result.FirstSentence())});
  }
  return table.Format();
}

Html Lines(const char* title, const std::vector<std::string>& lines) {
  std::vector<Html> items;
  for (const std::string& line : lines) items.push_back(Html::Text(line));
  return items.empty() ? Html() : Tag("p", Tag("small", title)) + List(items);
}

Html Limits(const CheckResult& result) {
  std::vector<std::string> lines;
  for (const analysis::UsedLimit& limit : result.limits) lines.push_back(LimitText(limit));
  return lines.empty() ? Html() : Tag("p", Tag("small", "Limits: " + Join(lines, "; ")));
}

Html Article(const CheckResult& result) {
  const Html head =
      Tag("p", Tag("span", {{"class", "verdict"}}, Html::Text(CheckStatusName(result.status)))) +
      Tag("h3", result.title) + Tag("p", result.FirstSentence());
  return Tag("article", {{"class", std::string("warning ") + ClassOf(result.status)}},
             head + Lines("Measured by hand", result.measured) +
                 Lines("Also found", result.findings) +
                 Lines("What else would look the same", result.alike) +
                 Lines("To tell more it needs", result.missing) + Limits(result)) +
         Html::Markup("\n");
}

std::string WithUnit(const std::string& name, const std::string& unit) {
  return unit.empty() ? name : name + " in " + unit;
}

Html Caption(const Curve& curve) {
  std::string rest = ": " + WithUnit(curve.y_name, curve.y_unit) + ", by " +
                     WithUnit(curve.x_name, curve.x_unit == "s" ? "" : curve.x_unit);
  if (!curve.expected_name.empty()) rest += "; dashed: " + curve.expected_name;
  if (!curve.marked.empty()) {
    std::vector<std::string> names;
    for (const double x : curve.marked) names.push_back(FormatDouble(x));
    rest += "; standing out: " + curve.x_name + " " + Enumerate(names);
  }
  std::string name = curve.name;
  if (!name.empty() && name[0] >= 'a' && name[0] <= 'z') name[0] = static_cast<char>(name[0] - 32);
  return Tag("figcaption", Tag("strong", name) + Html::Text(rest));
}

Html Figures(const std::vector<CheckResult>& results, Charts& charts) {
  Html figures;
  for (const CheckResult& result : results) {
    for (const Curve& curve : result.curves) {
      if (curve.x.empty()) continue;
      figures += Tag("figure", Caption(curve) + Tag("div", charts.Add(curve)));
    }
  }
  return figures.empty() ? Html() : Tag("div", {{"class", "figures"}}, figures);
}

bool NothingFound(const std::vector<CheckResult>& results) {
  return std::all_of(results.begin(), results.end(), [](const CheckResult& result) {
    return result.status == CheckStatus::kCannotTell;
  });
}

}  // namespace

Html CheckLine(const std::vector<CheckResult>& results, const analysis::Coverage& coverage) {
  if (results.empty() || coverage.Nothing()) return {};
  return Tag("p", Tag("a", {{"href", "#checks"}}, Html::Text("Checks:")) +
                      Html::Text(" " + CheckHeadline(results)));
}

Section CheckSection(const std::vector<CheckResult>& results, Charts& charts) {
  if (results.empty()) return {};
  Html body = Tag("p", CheckHeadline(results));
  for (const CheckResult& result : results) {
    for (const std::string& joined : result.joined) body += Tag("p", Capital(joined) + ".");
  }
  body += AnswerTable(results);
  if (const CheckResult* signals = analysis::SignalsResult(results)) {
    body += Lines("Measured by hand", signals->measured);
  }
  if (NothingFound(results)) {
    body += Tag("p",
                "Checks find signals by the roles in the definition files; none that could be used "
                "was received.");
    return {"checks", "Checks", body};
  }
  for (const CheckResult& result : ByUrgency(results)) {
    if (Asks(result)) body += Article(result);
  }
  body += Figures(results, charts);
  return {"checks", "Checks", body};
}

}  // namespace proofdrive::output
