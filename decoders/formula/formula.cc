#include "decoders/formula/formula.h"

#include <cmath>
#include <limits>
#include <utility>

#include <muParser.h>

#include "decoders/formula/expression.h"

namespace proofdrive::decoders {
namespace {

constexpr double kUnknown = std::numeric_limits<double>::quiet_NaN();

// Comparison and logic with unknowns. Plain functions, as the mathematics library wants them.
double Known(double a, double b, bool holds) {
  return std::isnan(a) || std::isnan(b) ? kUnknown : (holds ? 1.0 : 0.0);
}
double Equal(double a, double b) { return Known(a, b, a == b); }
double NotEqual(double a, double b) { return Known(a, b, a != b); }
double Less(double a, double b) { return Known(a, b, a < b); }
double LessOrEqual(double a, double b) { return Known(a, b, a <= b); }
double Greater(double a, double b) { return Known(a, b, a > b); }
double GreaterOrEqual(double a, double b) { return Known(a, b, a >= b); }
double And(double a, double b) {
  if (a == 0 || b == 0) return 0;
  return Known(a, b, true);
}
double Or(double a, double b) {
  if (a == 1 || b == 1) return 1;
  return Known(a, b, false);
}
double Not(double a) { return std::isnan(a) ? kUnknown : 1 - a; }
double SquareRoot(double a) { return std::sqrt(a); }
double Absolute(double a) { return std::fabs(a); }

class ParsedFormula : public Formula {
 public:
  explicit ParsedFormula(Expression expression)
      : inputs_(std::move(expression.inputs)), values_(inputs_.size()) {
    parser_.ClearFun();
    parser_.DefineFun("eq", Equal);
    parser_.DefineFun("ne", NotEqual);
    parser_.DefineFun("lt", Less);
    parser_.DefineFun("le", LessOrEqual);
    parser_.DefineFun("gt", Greater);
    parser_.DefineFun("ge", GreaterOrEqual);
    parser_.DefineFun("kand", And);
    parser_.DefineFun("kor", Or);
    parser_.DefineFun("knot", Not);
    parser_.DefineFun("sqrt", SquareRoot);
    parser_.DefineFun("abs", Absolute);
    for (std::size_t i = 0; i < values_.size(); ++i) {
      parser_.DefineVar("v" + std::to_string(i), &values_[i]);
    }
    parser_.SetExpr(expression.text);
    (void)parser_.Eval();  // compiles; throws when the text is not accepted
  }

  std::span<const FormulaInput> inputs() const override { return inputs_; }

  double Evaluate(std::span<const double> inputs) override {
    for (std::size_t i = 0; i < values_.size(); ++i) values_[i] = inputs[i];
    try {
      const double value = parser_.Eval();
      return std::isfinite(value) ? value : kUnknown;
    } catch (const mu::ParserError&) {
      return kUnknown;
    }
  }

 private:
  std::vector<FormulaInput> inputs_;
  std::vector<double> values_;  // never resized: the parser holds pointers into it
  mu::Parser parser_;
};

}  // namespace

std::unique_ptr<Formula> Formula::Compile(std::string_view text, FormulaKind kind,
                                          const Definitions& definitions, TextProblem& problem) {
  auto expression = ParseExpression(text, kind, definitions, problem);
  if (!expression) return nullptr;
  try {
    return std::make_unique<ParsedFormula>(std::move(*expression));
  } catch (const mu::ParserError& error) {
    problem = {0, "cannot be evaluated: " + std::string(error.GetMsg()),
               "split it into computed signals"};
    return nullptr;
  }
}

}  // namespace proofdrive::decoders
