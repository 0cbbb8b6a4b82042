#include "analysis/measured/quantity.h"

#include <gmock/gmock.h>

namespace proofdrive::analysis {
namespace {

using ::testing::HasSubstr;

TEST(Quantity, EverydayNamesAndNamesOfRoles) {
  struct Case {
    const char* text;
    const char* role;
    std::uint32_t element;
    double value;  // in the unit of the role
  };
  constexpr Case kCases[] = {{"insulation 2.1 Mohm", "isolation resistance", 0, 2100},
                             {"Insulation 2.1Mohm", "isolation resistance", 0, 2100},
                             {"isolation resistance 450 kohm", "isolation resistance", 0, 450},
                             {"pack voltage 377.4 V", "pack voltage", 0, 377.4},
                             {"link 0.3 V", "link voltage", 0, 0.3},
                             {"cell 7 3652 mV", "cell voltages", 7, 3.652},
                             {"cell temperature 3 50 degF", "cell temperatures", 3, 10},
                             {"12 V supply 12.61 V", "supply voltage", 0, 12.61},
                             {"coolant temperature -3.5 °C", "coolant inlet temperature", 0, -3.5},
                             {"current -12 A", "pack current", 0, -12},
                             {"odometer 100 mi", "odometer", 0, 160.9344}};
  for (const Case& one : kCases) {
    const auto parsed = ParseMeasured(one.text);
    ASSERT_TRUE(parsed.ok()) << one.text << ": " << parsed.status().message();
    EXPECT_EQ(parsed->role, one.role) << one.text;
    EXPECT_EQ(parsed->element, one.element) << one.text;
    EXPECT_NEAR(InUnitOfRole(*parsed), one.value, 1e-9) << one.text;
  }
}

std::string Mistake(const char* text) {
  const auto parsed = ParseMeasured(text);
  return parsed.ok() ? "none" : parsed.status().message();
}

TEST(Quantity, MistakesSayWhatToWrite) {
  EXPECT_EQ(Mistake("insulation"),
            "\"insulation\" is no measurement: write what, how much and the unit, for example "
            "\"insulation 2.1 Mohm\" or \"cell 7 3.652 V\"");
  EXPECT_THAT(Mistake("insulation 2.1"), HasSubstr("is no measurement"));
  EXPECT_THAT(Mistake("insulation nan Mohm"), HasSubstr("is no measurement"));
  EXPECT_EQ(Mistake("insulatoin 2.1 Mohm"),
            "\"insulatoin\" is nothing that checks know as a number: did you mean "
            "\"insulation\"?");
  EXPECT_EQ(Mistake("insulation 2.1 V"),
            "\"V\" is no unit of isolation resistance: write it in kohm, for example");
  EXPECT_EQ(Mistake("cell 3.652 V"),
            "\"cell 3.652 V\" does not say which one: write for example \"cell 7 3.652 V\"");
  EXPECT_EQ(Mistake("supply 2 12.6 V"),
            "\"supply 2 12.6 V\" has a number too many: there is one supply voltage");
  EXPECT_THAT(Mistake("interlock 1 V"), HasSubstr("is nothing that checks know as a number"));
}

TEST(Quantity, HighVoltageIsNamed) {
  EXPECT_TRUE(IsHighVoltage("isolation resistance"));
  EXPECT_FALSE(IsHighVoltage("supply voltage"));
}

}  // namespace
}  // namespace proofdrive::analysis
