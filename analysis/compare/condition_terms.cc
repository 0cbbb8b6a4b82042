#include "analysis/compare/condition_terms.h"

#include <algorithm>
#include <array>
#include <iterator>
#include <sstream>

#include "core/base/text.h"

namespace proofdrive::analysis {
namespace {

// Longer operators first: "<=" begins with "<".
constexpr std::array<std::string_view, 6> kOperators = {"==", "!=", "<=", ">=", "<", ">"};

std::vector<std::string> Words(std::string_view text) {
  std::istringstream in{std::string(text)};
  return {std::istream_iterator<std::string>(in), {}};
}

std::string OneBlank(std::string_view text) { return Join(Words(text), " "); }

std::string_view WithoutBrackets(std::string_view text) {
  text = Trim(text);
  if (!text.starts_with('(') || text.find(')') != text.size() - 1) return text;
  return text.substr(1, text.size() - 2);
}

Term ParseTerm(std::string_view text) {
  text = WithoutBrackets(text);
  for (const std::string_view op : kOperators) {
    const std::size_t at = text.find(op);
    if (at == std::string_view::npos) continue;
    return {OneBlank(text.substr(0, at)), std::string(op), OneBlank(text.substr(at + op.size()))};
  }
  return {OneBlank(text), "", ""};
}

bool Has(const std::vector<std::string>& words, std::string_view word) {
  return std::find(words.begin(), words.end(), word) != words.end();
}

// Brackets are fine in "max(cell_temperature) > 55", not around an "and".
bool AndWithinBrackets(std::string_view text) {
  int depth = 0;
  for (std::size_t i = 0; i < text.size(); ++i) {
    depth += text[i] == '(' ? 1 : text[i] == ')' ? -1 : 0;
    if (depth > 0 && text.substr(i).starts_with(" and ")) return true;
  }
  return false;
}

bool TermImplies(const Term& strong, const Term& weak) {
  if (strong == weak) return true;
  if (strong.left != weak.left || strong.op.empty()) return false;
  const auto a = strong.Number(), b = weak.Number();
  if (!a || !b) return false;
  const bool strict = strong.op == weak.op || strong.op.size() == 1;
  if (strong.op[0] == '>' && weak.op[0] == '>') return strict ? *a >= *b : *a > *b;
  if (strong.op[0] == '<' && weak.op[0] == '<') return strict ? *a <= *b : *a < *b;
  return false;
}

std::string Comparison(std::string_view op) {
  if (op == "==") return " is ";
  if (op == "!=") return " is not ";
  if (op == "<") return " is below ";
  if (op == "<=") return " is at most ";
  if (op == ">") return " is above ";
  return " is at least ";
}

std::string Spoken(std::string name) {
  std::replace(name.begin(), name.end(), '_', ' ');
  return name;
}

std::string UnitOf(const Term& term, const decoders::Definitions& definitions) {
  if (!term.Number()) return "";
  std::string name = term.left;
  if (const std::size_t open = name.find('('); open != std::string::npos && name.back() == ')') {
    name = name.substr(open + 1, name.size() - open - 2);
  }
  const auto signal = definitions.FindSignal(name);
  if (!signal || definitions.signals[*signal].unit.empty()) return "";
  return " " + definitions.signals[*signal].unit;
}

std::vector<Term> TermsBetween(const std::vector<std::string>& words, std::string_view joint) {
  std::vector<Term> terms;
  std::string part;
  for (const std::string& word : words) {
    if (word == joint) {
      terms.push_back(ParseTerm(part));
      part.clear();
    } else {
      part += " " + word;
    }
  }
  terms.push_back(ParseTerm(part));
  return terms;
}

// The alternatives of a whole term that is nothing but comparisons joined by "or"; else none.
std::vector<Term> Alternatives(const Term& whole) {
  const std::vector<std::string> words = Words(whole.left);
  if (!whole.op.empty() || Has(words, "and") || Has(words, "not")) return {};
  std::vector<Term> terms = TermsBetween(words, "or");
  const bool plain = std::all_of(terms.begin(), terms.end(), [](const Term& term) {
    return !term.op.empty() && term.left.find('(') == std::string::npos;
  });
  return plain ? terms : std::vector<Term>();
}

std::string TermInWords(const Term& term, const decoders::Definitions& definitions) {
  if (!term.op.empty()) {
    return Spoken(term.left) + Comparison(term.op) + Spoken(term.right) + UnitOf(term, definitions);
  }
  std::vector<std::string> parts;
  for (const Term& one : Alternatives(term)) parts.push_back(TermInWords(one, definitions));
  return parts.empty() ? "\"" + term.left + "\" holds" : Join(parts, " or ");
}

bool ClauseImplies(const Term& strong, const Term& weak) {
  if (TermImplies(strong, weak)) return true;
  const std::vector<Term> alternatives = Alternatives(weak);
  return std::any_of(alternatives.begin(), alternatives.end(),
                     [&](const Term& one) { return TermImplies(strong, one); });
}

}  // namespace

std::optional<double> Term::Number() const {
  const Result<double> number = ParseDouble(right);
  if (op.empty() || !number.ok()) return std::nullopt;
  return *number;
}

std::vector<Term> TermsOf(std::string_view condition) {
  const std::string text = OneBlank(condition);
  const std::vector<std::string> words = Words(text);
  if (Has(words, "or") || Has(words, "not") || AndWithinBrackets(text)) return {{text, "", ""}};
  return TermsBetween(words, "and");
}

bool Implies(const std::vector<Term>& strong, const std::vector<Term>& weak) {
  return std::all_of(weak.begin(), weak.end(), [&](const Term& asked) {
    return std::any_of(strong.begin(), strong.end(),
                       [&](const Term& given) { return ClauseImplies(given, asked); });
  });
}

std::string InWords(const std::vector<Term>& terms, const decoders::Definitions& definitions) {
  std::vector<std::string> parts;
  for (const Term& term : terms) parts.push_back(TermInWords(term, definitions));
  return Join(parts, " and ");
}

}  // namespace proofdrive::analysis
