#include "decoders/formula/formula.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <map>

#include "tests/unit/decoders/test_definitions.h"

namespace proofdrive::decoders {
namespace {

constexpr double kUnknown = std::numeric_limits<double>::quiet_NaN();

class FormulaTest : public ::testing::Test {
 protected:
  // Values by the name of the signal; what is missing is unknown. "level=low" is a state.
  double Evaluate(const std::string& text, const std::map<std::string, double>& values,
                  FormulaKind kind = FormulaKind::kCondition) {
    TextProblem problem;
    const auto formula = Formula::Compile(text, kind, *definitions_, problem);
    EXPECT_NE(formula, nullptr) << text << ": " << problem.message;
    if (formula == nullptr) return -999;
    std::vector<double> inputs;
    for (const FormulaInput& input : formula->inputs()) {
      std::string name = definitions_->signals[input.signal].name;
      if (!input.state.empty()) name += "=" + input.state;
      const auto found = values.find(name);
      inputs.push_back(found == values.end() ? kUnknown : found->second);
    }
    return formula->Evaluate(inputs);
  }

  double Number(const std::string& text, const std::map<std::string, double>& values) {
    return Evaluate(text, values, FormulaKind::kNumber);
  }

  std::string Problem(const std::string& text, FormulaKind kind = FormulaKind::kCondition) {
    TextProblem problem;
    if (Formula::Compile(text, kind, *definitions_, problem) != nullptr) return "no problem";
    return std::to_string(problem.at) + ": " + problem.message +
           (problem.hint.empty() ? "" : " (" + problem.hint + ")");
  }

  std::shared_ptr<const Definitions> definitions_ = testing::Load(R"(
frames:
  f:
    id: 1
    signals:
      a: {where: byte 0}
      b: {where: byte 1}
      level: {where: byte 2, states: {0: ok, 1: low}}
    series: {cell: {first: byte 3, each: 1 byte, count: 4}}
)");
};

TEST_F(FormulaTest, ArithmeticHasItsUsualOrder) {
  EXPECT_EQ(Number("1 + 2 * 3", {}), 7);
  EXPECT_EQ(Number("(1 + 2) * 3", {}), 9);
  EXPECT_EQ(Number("10 - 4 - 3", {}), 3);
  EXPECT_EQ(Number("16 / 4 / 2", {}), 2);
  EXPECT_EQ(Number("-a + 2", {{"a", 5}}), -3);
  EXPECT_EQ(Number("2 - -3", {}), 5);
  EXPECT_EQ(Number("0x10 + 1.5e1", {}), 31);
  EXPECT_EQ(Number("sqrt(abs(a)) * 2", {{"a", -9}}), 6);
}

TEST_F(FormulaTest, ComparisonsGiveZeroOrOne) {
  EXPECT_EQ(Evaluate("a > 3", {{"a", 4}}), 1);
  EXPECT_EQ(Evaluate("a > 4", {{"a", 4}}), 0);
  EXPECT_EQ(Evaluate("a >= 4", {{"a", 4}}), 1);
  EXPECT_EQ(Evaluate("a < b", {{"a", 4}, {"b", 5}}), 1);
  EXPECT_EQ(Evaluate("a <= b - 1", {{"a", 4}, {"b", 5}}), 1);
  EXPECT_EQ(Evaluate("a != b", {{"a", 4}, {"b", 5}}), 1);
  EXPECT_EQ(Evaluate("a < -5", {{"a", -6}}), 1);
}

TEST_F(FormulaTest, NotBindsWeakerThanComparisonAndStrongerThanAnd) {
  EXPECT_EQ(Evaluate("not a > 3 and b > 3", {{"a", 1}, {"b", 9}}), 1);
  EXPECT_EQ(Evaluate("not (a > 3 and b > 3)", {{"a", 9}, {"b", 9}}), 0);
  EXPECT_EQ(Evaluate("a > 3 or b > 3 and b < 0", {{"a", 9}, {"b", 9}}), 1);
}

TEST_F(FormulaTest, StatesBelongToTheSignalOnTheOtherSide) {
  EXPECT_EQ(Evaluate("level == low", {{"level=low", 1}}), 1);
  EXPECT_EQ(Evaluate("low == level", {{"level=low", 1}}), 1);
  EXPECT_EQ(Evaluate("level != low", {{"level=low", 1}}), 0);
  EXPECT_EQ(Evaluate("level != low", {{"level=low", 0}}), 1);
}

TEST_F(FormulaTest, UnknownInputsStayUnknown) {
  EXPECT_TRUE(std::isnan(Evaluate("a > 3", {})));
  EXPECT_TRUE(std::isnan(Evaluate("a != a", {})));
  EXPECT_TRUE(std::isnan(Evaluate("not a > 3", {})));
  EXPECT_TRUE(std::isnan(Evaluate("level != low", {})));
  EXPECT_TRUE(std::isnan(Number("a + 1", {})));
  EXPECT_TRUE(std::isnan(Number("0 * a", {})));
}

TEST_F(FormulaTest, OneKnownSideCanDecide) {
  EXPECT_EQ(Evaluate("a > 3 and b > 3", {{"a", 1}}), 0);
  EXPECT_EQ(Evaluate("a > 3 or b > 3", {{"b", 9}}), 1);
  EXPECT_TRUE(std::isnan(Evaluate("a > 3 and b > 3", {{"a", 9}})));
  EXPECT_TRUE(std::isnan(Evaluate("a > 3 or b > 3", {{"a", 1}})));
}

TEST_F(FormulaTest, DivisionByZeroIsUnknown) {
  EXPECT_TRUE(std::isnan(Number("1 / a", {{"a", 0}})));
  EXPECT_TRUE(std::isnan(Number("0 / a", {{"a", 0}})));
  EXPECT_TRUE(std::isnan(Number("sqrt(a)", {{"a", -1}})));
}

TEST_F(FormulaTest, EachInputIsAskedForOnce) {
  TextProblem problem;
  const auto formula = Formula::Compile("max(cell) - min(cell) > a and max(cell) > cell[2] + a",
                                        FormulaKind::kCondition, *definitions_, problem);
  ASSERT_NE(formula, nullptr) << problem.message;
  ASSERT_EQ(formula->inputs().size(), 4U);
  EXPECT_EQ(formula->inputs()[0].function, SeriesFunction::kMax);
  EXPECT_EQ(formula->inputs()[3].element, 1U);
}

TEST_F(FormulaTest, ProblemsTeach) {
  EXPECT_EQ(Problem("c > 3"), "0: there is no signal \"c\" (did you mean a?)");
  EXPECT_EQ(Problem("levle == low"), "0: there is no signal \"levle\" (did you mean level?)");
  EXPECT_EQ(Problem("level == lwo"), "9: \"level\" has no state \"lwo\" (its states: ok, low)");
  EXPECT_EQ(Problem("level == lows"), "9: \"level\" has no state \"lows\" (did you mean low?)");
  EXPECT_EQ(Problem("level == empty"), "9: \"level\" has no state \"empty\" (its states: ok, low)");
  EXPECT_EQ(Problem("a == low"),
            "5: \"low\": signal \"a\" has no states (give it states: {0: off, 1: on}, or compare "
            "with a number)");
  EXPECT_EQ(Problem("level > low"), "8: states can only be compared with == and !=");
  EXPECT_EQ(Problem("a = 3"), "2: \"=\" is not expected here (compare with ==)");
  EXPECT_EQ(Problem("a > 1 & b > 1"), "6: \"&\" is not expected here (write and)");
  EXPECT_EQ(Problem("a > 1 || b > 1"), "6: \"|\" is not expected here (write or)");
  EXPECT_EQ(Problem("!a > 1"), "0: \"!\" is not expected here (write not)");
  EXPECT_EQ(Problem("0 < a < 5"), "6: comparisons cannot be chained (write 0 < x and x < 5)");
  EXPECT_EQ(Problem("a"),
            "0: is a number, not a condition that holds or does not (compare it with something, "
            "for example a > 0)");
  EXPECT_EQ(Problem("a > 3", FormulaKind::kNumber),
            "0: is a condition, not a number (remove the comparison)");
  EXPECT_EQ(Problem("a > 1 and b"),
            "10: \"and\" joins conditions, but this is a number (compare it with something, for "
            "example > 0)");
  EXPECT_EQ(Problem("a >"), "3: the formula ends too early");
  EXPECT_EQ(Problem(""), "0: the formula ends too early");
  EXPECT_EQ(Problem("(a > 3"), "6: a \")\" is missing at the end");
  EXPECT_EQ(Problem("a > 3)"), "5: \")\" is not expected here");
  EXPECT_EQ(Problem("cell > 3"),
            "0: \"cell\" is a series of 4 values (write cell[1] for its first one, or max(cell))");
  EXPECT_EQ(Problem("cell[0] > 3"), "5: \"cell\" has elements 1 to 4");
  EXPECT_EQ(Problem("cell[5] > 3"), "5: \"cell\" has elements 1 to 4");
  EXPECT_EQ(Problem("a[1] > 3"), "1: \"a\" is a single value and has no elements");
  EXPECT_EQ(Problem("max(a) > 3"), "4: \"a\" is a single value, but max wants a series");
  EXPECT_EQ(Problem("max(cel) > 3"), "4: max wants the name of a series (did you mean cell?)");
  EXPECT_EQ(Problem("maxx(cell) > 3"), "0: there is no function \"maxx\" (did you mean max?)");
  EXPECT_EQ(Problem("1.2.3 > a"), "0: \"1.2.3\" is not a number");
  EXPECT_EQ(Problem("(a > 1) + 2 > 3"), "0: a number is expected here, not a condition");
}

TEST_F(FormulaTest, DeepAndLongFormulasAreRefused) {
  EXPECT_EQ(Problem(std::string(500, '(') + "a"),
            "40: nested too deeply (split it into computed signals)");
  EXPECT_EQ(Problem(std::string(500, '-') + "a > 0"),
            "40: nested too deeply (split it into computed signals)");
  EXPECT_EQ(Problem(std::string(1001, ' ')),
            "0: longer than 1000 characters (split it into computed signals)");
}

TEST_F(FormulaTest, LongestFlatFormulaWorks) {
  std::string text = "a";
  while (text.size() < 996) text += "+a";
  EXPECT_EQ(Number(text, {{"a", 1}}), 499);
}

}  // namespace
}  // namespace proofdrive::decoders
