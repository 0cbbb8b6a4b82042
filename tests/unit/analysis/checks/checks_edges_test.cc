// What every check must do when a signal is missing or cannot be what it says.
#include <gmock/gmock.h>

#include <cmath>

#include "analysis/checks/checks.h"
#include "tests/unit/analysis/checks/input_builder.h"

namespace proofdrive::analysis {
namespace {

using ::testing::Contains;
using ::testing::HasSubstr;
using testing::InputBuilder;

TEST(ChecksEdges, WithoutSignalsEveryCheckNamesWhatIsMissing) {
  InputBuilder input(60);
  for (const CheckRow& row : AllChecks()) {
    const CheckResult result = input.Run(std::string(row.name));
    EXPECT_EQ(result.status, CheckStatus::kCannotTell) << row.name;
    for (const std::string_view role : row.needs) {
      EXPECT_THAT(result.missing,
                  Contains(HasSubstr("\"" + std::string(role) + "\" (the definition files have")))
          << row.name;
    }
    EXPECT_FALSE(result.missing.empty()) << row.name;
    EXPECT_TRUE(result.summary.find("within") == std::string::npos) << row.name;
  }
}

TEST(ChecksEdges, EveryCheckListsTheRolesItNeedsAndUses) {
  InputBuilder input(60);
  for (const CheckRow& row : AllChecks()) {
    EXPECT_EQ(input.Run(std::string(row.name)).roles.size(), row.needs.size() + row.uses.size());
  }
}

TEST(ChecksEdges, AFrozenSignalIsNamedAndNotUsed) {
  // Current moves, pack voltage does not.
  InputBuilder input(200);
  input.Scalar("pack current", 0.1, 0.1, [](double t) { return std::fmod(t, 20) < 10 ? 0 : 120; })
      .Scalar("pack voltage", 0.1, 0.1, [](double) { return 380; });
  const CheckResult signals = input.Run("signals");
  EXPECT_EQ(signals.status, CheckStatus::kLookCloser);
  EXPECT_THAT(signals.summary, HasSubstr("pack_voltage never changes"));
  const CheckResult resistance = input.Run("resistance");
  EXPECT_EQ(resistance.status, CheckStatus::kCannotTell);
  EXPECT_THAT(resistance.missing, Contains(HasSubstr("pack_voltage")));
}

TEST(ChecksEdges, AUnitTheRoleCannotUseIsNamedAndNotUsed) {
  InputBuilder input(200);
  input.Scalar("supply voltage", 0.1, 0.1, [](double t) { return 12.5 + 0.3 * std::sin(t); });
  input.last().unit = "bar";
  input.last().unit_fits = false;
  EXPECT_EQ(input.Run("signals").status, CheckStatus::kLookCloser);
  const CheckResult supply = input.Run("supply");
  EXPECT_EQ(supply.status, CheckStatus::kCannotTell);
  EXPECT_THAT(supply.missing, Contains(HasSubstr("supply_voltage")));
}

}  // namespace
}  // namespace proofdrive::analysis
