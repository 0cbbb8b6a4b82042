#include "analysis/warned/warned_checks.h"

#include <gmock/gmock.h>

namespace proofdrive::analysis {
namespace {

using ::testing::Contains;
using ::testing::HasSubstr;

// A warning about the 12 V supply that was on for 175 s.
SessionFindings Warned() {
  auto definitions = std::make_shared<decoders::Definitions>();
  decoders::Signal supply;
  supply.name = "supply_voltage";
  supply.role = "supply voltage";
  definitions->signals.push_back(supply);
  decoders::Warning warning;
  warning.name = "supply_low";
  warning.text = "12 V supply is weak";
  warning.when.text = "supply_voltage < 11.8";
  definitions->warnings.push_back(warning);
  SessionFindings findings;
  findings.definitions = definitions;
  findings.warnings.resize(1);
  findings.warnings[0].on = std::chrono::seconds(175);
  return findings;
}

CheckResult Result(const std::string& role, CheckStatus status) {
  CheckResult result;
  result.name = "supply";
  result.status = status;
  result.summary = "it never fell below 11.5 V";
  result.roles = {{role, true, {"supply_voltage"}}};
  return result;
}

CheckResult Held(CheckResult result, const SessionFindings& findings) {
  std::vector<CheckResult> results = {std::move(result)};
  HoldAgainstWarnings(findings, results);
  return results.front();
}

TEST(WarnedChecks, GoodNewsDoesNotStandBesideAWarning) {
  const CheckResult held = Held(Result("supply voltage", CheckStatus::kWithin), Warned());
  EXPECT_EQ(held.status, CheckStatus::kLookCloser);
  EXPECT_THAT(held.summary, HasSubstr("the warning supply_low (12 V supply is weak) was on for"));
  EXPECT_THAT(held.summary, HasSubstr("though by the limits of this check it never fell"));
}

TEST(WarnedChecks, OthersAreLeftAsTheyAre) {
  EXPECT_EQ(Held(Result("pack voltage", CheckStatus::kWithin), Warned()).status,
            CheckStatus::kWithin);
  SessionFindings never = Warned();
  never.warnings[0].on = Duration{0};
  EXPECT_EQ(Held(Result("supply voltage", CheckStatus::kWithin), never).status,
            CheckStatus::kWithin);
  const CheckResult outside = Held(Result("supply voltage", CheckStatus::kOutside), Warned());
  EXPECT_EQ(outside.summary, "it never fell below 11.5 V");
  EXPECT_THAT(outside.findings, Contains(HasSubstr("was on for")));
}

}  // namespace
}  // namespace proofdrive::analysis
