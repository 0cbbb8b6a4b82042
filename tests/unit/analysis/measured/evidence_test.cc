#include "analysis/measured/evidence.h"

#include <gmock/gmock.h>

#include "decoders/language/loader.h"

namespace proofdrive::analysis {
namespace {

using ::testing::ElementsAre;

TEST(Evidence, ByRoleAndOnlyForWhatIsNotProven) {
  const std::vector<decoders::SourceText> sources = {{"car.yaml", R"yaml(
byte order: big
frames:
  f:
    id: 1
    signals:
      iso: {where: bytes 0-1, unit: kohm, role: isolation resistance}
      battery: {where: byte 2, unit: V, role: supply voltage, known from: survey}
      speed: {where: byte 3, unit: km/h, role: vehicle speed, known from: reading}
      inlet: {where: byte 4, unit: degC, role: coolant inlet temperature}
      outlet: {where: byte 5, unit: degC, role: coolant outlet temperature}
      latch: {where: byte 6 bit 0, states: {0: clear, 1: set}, role: crash latch}
      plain: {where: byte 7}
warnings:
  w: {text: W, when: plain > 3, severity: note}
)yaml"}};
  const auto loaded = decoders::LoadDefinitions(sources);
  ASSERT_TRUE(loaded.ok());
  const Guesses guesses = GuessesOf(*loaded.definitions);
  EXPECT_EQ(guesses.count, 5U);
  EXPECT_EQ(guesses.of, 6U);
  EXPECT_EQ(guesses.without_role, 1U);
  EXPECT_EQ(guesses.warnings, 1U);
  ASSERT_EQ(guesses.with_role.size(), 4U);
  EXPECT_EQ(guesses.with_role[0].evidence, "an insulation tester at the pack");
  EXPECT_TRUE(guesses.with_role[0].high_voltage);
  EXPECT_FALSE(guesses.with_role[1].high_voltage);
  EXPECT_THAT(guesses.with_role[2].signals, ElementsAre("inlet", "outlet"));
  EXPECT_FALSE(guesses.with_role[3].can_be_noted) << "a state is seen, not measured";
}

}  // namespace
}  // namespace proofdrive::analysis
