#include "decoders/formula/expression.h"

#include <algorithm>
#include <cctype>
#include <utility>

#include "core/base/text.h"
#include "decoders/formula/tokens.h"
#include "decoders/formula/words.h"

namespace proofdrive::decoders {
namespace {

constexpr std::size_t kLongest = 1000;
constexpr int kDeepest = 40;

std::string Quoted(std::string_view text) { return "\"" + std::string(text) + "\""; }

// Part of a formula that has been read.
struct Term {
  std::string text;
  FormulaKind kind = FormulaKind::kNumber;
  std::size_t at = 0;
  std::optional<FormulaInput> signal;  // a signal and nothing else
  std::string_view word;               // a name that is no signal: perhaps a state
};

class Parser {
 public:
  Parser(std::string_view text, const Definitions& definitions, TextProblem& problem)
      : text_(text), tokens_(text), definitions_(definitions), problem_(problem) {
    Next();
  }

  std::optional<Expression> Parse(FormulaKind kind) {
    if (text_.size() > kLongest) {
      return Fail(0, "longer than 1000 characters", "split it into computed signals"), std::nullopt;
    }
    auto term = Or();
    if (!term || !CheckWord(*term)) return std::nullopt;
    if (!token_.text.empty()) return Unexpected(), std::nullopt;
    if (term->kind != kind) return FailKind(*term, kind), std::nullopt;
    return Expression{std::move(term->text), std::move(inputs_)};
  }

 private:
  using Result = std::optional<Term>;

  void Fail(std::size_t at, std::string message, std::string hint) {
    problem_ = {at, std::move(message), std::move(hint)};
  }

  void FailKind(const Term& term, FormulaKind wanted) {
    if (wanted == FormulaKind::kCondition) {
      Fail(term.at, "is a number, not a condition that holds or does not",
           "compare it with something, for example " + std::string(Trim(text_.substr(0, 40))) +
               " > 0");
    } else {
      Fail(term.at, "is a condition, not a number", "remove the comparison");
    }
  }

  void Unexpected() {
    if (token_.text.empty()) return Fail(token_.at, "the formula ends too early", "");
    std::string hint;
    if (token_.text == "=") hint = "compare with ==";
    if (token_.text == "&") hint = "write and";
    if (token_.text == "|") hint = "write or";
    if (token_.text == "!") hint = "write not";
    Fail(token_.at, Quoted(token_.text) + " is not expected here", hint);
  }

  void Next() { token_ = tokens_.Next(); }

  bool Accept(std::string_view text) {
    if (token_.text != text) return false;
    Next();
    return true;
  }

  bool Expect(std::string_view text) {
    if (Accept(text)) return true;
    if (token_.text.empty()) {
      Fail(token_.at, "a " + Quoted(text) + " is missing at the end", "");
    } else {
      Fail(token_.at, "a " + Quoted(text) + " is expected before " + Quoted(token_.text), "");
    }
    return false;
  }

  // --- logic ---
  Result Or() {
    return Joined("or", "kor", [this] { return And(); });
  }
  Result And() {
    return Joined("and", "kand", [this] { return Not(); });
  }

  template <class Inner>
  Result Joined(std::string_view word, const std::string& function, Inner inner) {
    Result left = inner();
    while (left && token_.text == word) {
      if (!CheckCondition(*left, word)) return std::nullopt;
      Next();
      const Result right = inner();
      if (!right || !CheckCondition(*right, word)) return std::nullopt;
      left->text = function + "(" + left->text + "," + right->text + ")";
    }
    return left;
  }

  Result Not() {
    if (token_.text != "not") return Compared();
    const std::size_t at = token_.at;
    if (!Enter()) return std::nullopt;
    Next();
    Result inner = Not();
    --depth_;
    if (!inner || !CheckCondition(*inner, "not")) return std::nullopt;
    return Term{"knot(" + inner->text + ")", FormulaKind::kCondition, at, {}, {}};
  }

  bool CheckCondition(const Term& term, std::string_view word) {
    if (!CheckWord(term)) return false;
    if (term.kind == FormulaKind::kCondition) return true;
    Fail(term.at, Quoted(word) + " joins conditions, but this is a number",
         "compare it with something, for example > 0");
    return false;
  }

  // --- comparison ---
  Result Compared() {
    Result left = Sum();
    const Comparison* comparison = FindComparison(token_.text);
    if (!left || comparison == nullptr) return left;
    Next();
    const Result right = Sum();
    if (!right) return std::nullopt;
    if (FindComparison(token_.text) != nullptr) {
      Fail(token_.at, "comparisons cannot be chained", "write 0 < x and x < 5");
      return std::nullopt;
    }
    return Compare(*left, *comparison, *right);
  }

  Result Compare(const Term& left, const Comparison& comparison, const Term& right) {
    if (!right.word.empty() && left.signal) return CompareState(left, comparison, right);
    if (!left.word.empty() && right.signal) return CompareState(right, comparison, left);
    if (!CheckNumber(left) || !CheckNumber(right)) return std::nullopt;
    std::string text = std::string(comparison.function) + "(" + left.text + "," + right.text + ")";
    return Term{std::move(text), FormulaKind::kCondition, left.at, {}, {}};
  }

  Result CompareState(const Term& signal, const Comparison& comparison, const Term& state) {
    const Signal& definition = definitions_.signals[signal.signal->signal];
    std::vector<std::string> names;
    for (const StateName& name : definition.states) names.push_back(name.name);
    if (std::find(names.begin(), names.end(), state.word) == names.end()) {
      FailState(definition, names, state);
      return std::nullopt;
    }
    if (comparison.function != "eq" && comparison.function != "ne") {
      Fail(state.at, "states can only be compared with == and !=", "");
      return std::nullopt;
    }
    FormulaInput input = *signal.signal;
    input.state = std::string(state.word);
    std::string text = InputName(input);
    if (comparison.function == "ne") text = "knot(" + text + ")";
    return Term{std::move(text), FormulaKind::kCondition, signal.at, {}, {}};
  }

  void FailState(const Signal& signal, const std::vector<std::string>& names, const Term& state) {
    if (names.empty()) {
      Fail(state.at, Quoted(state.word) + ": signal " + Quoted(signal.name) + " has no states",
           "give it states: {0: off, 1: on}, or compare with a number");
      return;
    }
    const std::string nearest = NearestName(state.word, names);
    Fail(state.at, Quoted(signal.name) + " has no state " + Quoted(state.word),
         nearest.empty() ? "its states: " + Join(names, ", ") : "did you mean " + nearest + "?");
  }

  // --- arithmetic ---
  bool CheckNumber(const Term& term) {
    if (!CheckWord(term)) return false;
    if (term.kind == FormulaKind::kNumber) return true;
    Fail(term.at, "a number is expected here, not a condition", "");
    return false;
  }

  Result Sum() {
    return Chain("+", "-", [this] { return Product(); });
  }
  Result Product() {
    return Chain("*", "/", [this] { return Unary(); });
  }

  template <class Inner>
  Result Chain(std::string_view a, std::string_view b, Inner inner) {
    Result left = inner();
    while (left && (token_.text == a || token_.text == b)) {
      const std::string sign(token_.text);
      Next();
      const Result right = inner();
      if (!right || !CheckNumber(*left) || !CheckNumber(*right)) return std::nullopt;
      left =
          Term{"(" + left->text + sign + right->text + ")", FormulaKind::kNumber, left->at, {}, {}};
    }
    return left;
  }

  Result Unary() {
    if (token_.text != "-") return Primary();
    const std::size_t at = token_.at;
    if (!Enter()) return std::nullopt;
    Next();
    const Result inner = Unary();
    --depth_;
    if (!inner || !CheckNumber(*inner)) return std::nullopt;
    return Term{"(0-" + inner->text + ")", FormulaKind::kNumber, at, {}, {}};
  }

  bool Enter() {
    if (++depth_ <= kDeepest) return true;
    Fail(token_.at, "nested too deeply", "split it into computed signals");
    return false;
  }

  Result Primary() {
    const Token token = token_;
    if (token.text.empty()) return Unexpected(), std::nullopt;
    if (token.text == "(") return Group();
    if (std::isdigit(static_cast<unsigned char>(token.text[0])) != 0) return Literal();
    if (!IsWordStart(token.text[0]) || IsLogicWord(token.text)) {
      return Unexpected(), std::nullopt;
    }
    Next();
    if (token_.text == "(") return Call(token);
    return Named(token);
  }

  Result Group() {
    const std::size_t at = token_.at;
    if (!Enter()) return std::nullopt;
    Next();
    Result inner = Or();
    --depth_;
    if (!inner || !CheckWord(*inner) || !Expect(")")) return std::nullopt;
    inner->signal.reset();
    inner->at = at;
    return inner;
  }

  Result Literal() {
    const Token token = token_;
    double value = 0;
    if (const auto integer = ParseUint64(token.text); integer.ok()) {
      value = static_cast<double>(*integer);
    } else if (const auto number = ParseDouble(token.text); number.ok()) {
      value = *number;
    } else {
      Fail(token.at, Quoted(token.text) + " is not a number", "");
      return std::nullopt;
    }
    Next();
    return Term{FormatDouble(value), FormulaKind::kNumber, token.at, {}, {}};
  }

  Result Call(const Token& name) {
    if (IsNumberFunction(name.text)) {
      if (!Enter()) return std::nullopt;
      Next();
      const Result inner = Sum();
      --depth_;
      if (!inner || !CheckNumber(*inner) || !Expect(")")) return std::nullopt;
      return Term{
          std::string(name.text) + "(" + inner->text + ")", FormulaKind::kNumber, name.at, {}, {}};
    }
    if (const auto function = FindSeriesFunction(name.text)) return SeriesCall(name, *function);
    FailFunction(name);
    return std::nullopt;
  }

  void FailFunction(const Token& name) {
    const std::vector<std::string> words = FunctionNames();
    const std::string nearest = NearestName(name.text, words);
    Fail(name.at, "there is no function " + Quoted(name.text),
         nearest.empty() ? "functions: " + Join(words, ", ") : "did you mean " + nearest + "?");
  }

  Result SeriesCall(const Token& name, SeriesFunction function) {
    Next();
    const Token argument = token_;
    const auto signal = definitions_.FindSignal(argument.text);
    if (!signal || !definitions_.signals[*signal].is_series) {
      FailSeries(name, argument, signal.has_value());
      return std::nullopt;
    }
    if (!CheckNotText(*signal, argument)) return std::nullopt;
    Next();
    if (!Expect(")")) return std::nullopt;
    FormulaInput input;
    input.signal = *signal;
    input.function = function;
    return Term{InputName(input), FormulaKind::kNumber, name.at, {}, {}};
  }

  void FailSeries(const Token& name, const Token& argument, bool is_scalar) {
    if (is_scalar) {
      Fail(argument.at,
           Quoted(argument.text) + " is a single value, but " + std::string(name.text) +
               " wants a series",
           "");
      return;
    }
    std::vector<std::string> series;
    for (const Signal& signal : definitions_.signals) {
      if (signal.is_series) series.push_back(signal.name);
    }
    const std::string nearest = NearestName(argument.text, series);
    Fail(argument.at, std::string(name.text) + " wants the name of a series",
         !nearest.empty() ? "did you mean " + nearest + "?"
         : series.empty() ? "no frame has a series"
                          : "series: " + Join(series, ", "));
  }

  bool CheckNotText(std::uint32_t signal, const Token& name) {
    if (definitions_.signals[signal].encoding != Encoding::kText) return true;
    Fail(name.at, Quoted(name.text) + " is text, which formulas cannot use", "");
    return false;
  }

  Result Named(const Token& name) {
    const auto signal = definitions_.FindSignal(name.text);
    if (!signal) return Term{{}, FormulaKind::kNumber, name.at, {}, name.text};
    if (!CheckNotText(*signal, name)) return std::nullopt;
    FormulaInput input;
    input.signal = *signal;
    if (definitions_.signals[*signal].is_series) {
      if (!Element(name, input)) return std::nullopt;
    } else if (token_.text == "[") {
      Fail(token_.at, Quoted(name.text) + " is a single value and has no elements", "");
      return std::nullopt;
    }
    return Term{InputName(input), FormulaKind::kNumber, name.at, input, {}};
  }

  bool Element(const Token& name, FormulaInput& input) {
    const std::uint32_t count = definitions_.signals[input.signal].count;
    if (token_.text != "[") {
      Fail(name.at, Quoted(name.text) + " is a series of " + std::to_string(count) + " values",
           "write " + std::string(name.text) + "[1] for its first one, or max(" +
               std::string(name.text) + ")");
      return false;
    }
    Next();
    const auto number = ParseUint64(token_.text);
    if (!number.ok() || *number < 1 || *number > count) {
      Fail(token_.at, Quoted(name.text) + " has elements 1 to " + std::to_string(count), "");
      return false;
    }
    Next();
    input.element = static_cast<std::uint32_t>(*number - 1);
    return Expect("]");
  }

  // A name that is no signal may stand only beside == and !=, as a state.
  bool CheckWord(const Term& term) {
    if (term.word.empty()) return true;
    std::vector<std::string> names;
    for (const Signal& signal : definitions_.signals) names.push_back(signal.name);
    const std::string nearest = NearestName(term.word, names);
    Fail(term.at, "there is no signal " + Quoted(term.word),
         nearest.empty() ? "a state name needs its signal on the other side of == or !="
                         : "did you mean " + nearest + "?");
    return false;
  }

  std::string InputName(const FormulaInput& input) {
    const auto found = std::find(inputs_.begin(), inputs_.end(), input);
    const auto index = found - inputs_.begin();
    if (found == inputs_.end()) inputs_.push_back(input);
    return "v" + std::to_string(index);
  }

  std::string_view text_;
  Tokens tokens_;
  const Definitions& definitions_;
  TextProblem& problem_;
  Token token_;
  int depth_ = 0;
  std::vector<FormulaInput> inputs_;
};

}  // namespace

std::optional<Expression> ParseExpression(std::string_view text, FormulaKind kind,
                                          const Definitions& definitions, TextProblem& problem) {
  return Parser(text, definitions, problem).Parse(kind);
}

}  // namespace proofdrive::decoders
