#include "analysis/compare/confirm_places.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "analysis/findings/findings_of.h"
#include "core/base/text.h"
#include "tests/support/matchers.h"
#include "tests/support/memory_files.h"
#include "tests/support/session_script.h"

namespace proofdrive::analysis {
namespace {

using ::testing::HasSubstr;
using ::testing::StartsWith;

// Three payloads in turn; the third column is their exclusive or.
constexpr char kRight[] = "40 00 40,41 01 40,43 02 41";
constexpr char kWrongSum[] = "40 00 10,41 01 10,43 02 11";
constexpr char kWrongCounter[] = "40 00 40,41 02 43,43 01 42";

class ConfirmPlacesTest : public ::testing::Test {
 protected:
  // The frame was at 260 before; afterwards the given payloads are at the given identifiers.
  DefinitionChange Change(const std::string& rules,
                          const std::vector<std::pair<std::string, std::string>>& after,
                          const std::string& before = kRight) {
    const std::string frame =
        "frames:\n  cooling:\n    id: 0x260\n    every: 100 ms\n    length: 3\n"
        "    signals: {flow: {where: byte 0}}\n" +
        rules;
    files_.Put("car.yaml", {frame.begin(), frame.end()});
    const auto old = Open("before", Lines("260", before));
    std::string lines;
    for (const auto& [id, payloads] : after) lines += Lines(id, payloads);
    const auto now = Open("after", lines);
    const auto chosen = DefinitionsForComparison(files_, {}, old->header(), now->header());
    EXPECT_NE(chosen.for_after.definitions, nullptr);
    Comparison comparison = Compare(FindingsOf(*old, chosen.for_before).value(),
                                    FindingsOf(*now, chosen.for_after).value());
    EXPECT_OK(ConfirmPlaces(*now, comparison));
    EXPECT_EQ(comparison.definitions.size(), 1U);
    return comparison.definitions.empty() ? DefinitionChange() : comparison.definitions[0];
  }

  static constexpr char kCounter[] = "    counter: {where: byte 1 bits 0-1, counts to: 2}\n";
  static constexpr char kChecksum[] = "    checksum: {where: byte 2, kind: xor, over: bytes 0-1}\n";

 private:
  static std::string Lines(const std::string& id, const std::string& payloads) {
    std::string lines;
    int at = 0;
    for (const std::string& payload : Split(payloads, ',')) {
      lines += "every 300 ms from 0." + std::to_string(at++) + " s to 60 s  body " + id + "  " +
               payload + "\n";
    }
    return lines;
  }

  std::unique_ptr<session::Reader> Open(const std::string& name, const std::string& lines) {
    const std::string path = name + std::to_string(sessions_++) + ".session";
    EXPECT_OK(testing::WriteSession(
        files_, path, "name " + name + "\nchannel 0 body\ndefinitions car.yaml\n" + lines));
    return std::move(session::Reader::Open(files_, path).value());
  }

  int sessions_ = 0;
  testing::MemoryFiles files_;
};

TEST_F(ConfirmPlacesTest, ChecksumAndCounterThatAreRightConfirm) {
  const auto change = Change(std::string(kCounter) + kChecksum, {{"261", kRight}});
  ASSERT_EQ(change.places.size(), 1U);
  EXPECT_EQ(change.places[0].fit, PlaceFit::kFits);
  EXPECT_THAT(
      change.places[0].why,
      StartsWith("confirmed: its checksum and counter are right in all 600 frames there; "));
}

TEST_F(ConfirmPlacesTest, OneThatFitsGoesBeforeOneThatOnlyLooksAlike) {
  const auto change = Change(kChecksum, {{"25E", kWrongSum}, {"261", kRight}});
  ASSERT_EQ(change.places.size(), 2U);
  EXPECT_EQ(change.places[0].stream.id, 0x261U);
  EXPECT_EQ(change.places[1].fit, PlaceFit::kDoesNotFit);
  EXPECT_THAT(change.places[1].why, HasSubstr("its checksum is wrong there"));
}

TEST_F(ConfirmPlacesTest, ACounterAloneConfirmsOrRulesOut) {
  EXPECT_EQ(Change(kCounter, {{"261", kRight}}).places[0].fit, PlaceFit::kFits);
  const auto wrong = Change(kCounter, {{"261", kWrongCounter}});
  EXPECT_EQ(wrong.places[0].fit, PlaceFit::kDoesNotFit);
  EXPECT_THAT(wrong.places[0].why, HasSubstr("its counter is wrong there"));
}

TEST_F(ConfirmPlacesTest, WithoutEitherItStaysAGuess) {
  const auto change = Change("", {{"261", kRight}});
  EXPECT_EQ(change.places[0].fit, PlaceFit::kNotTold);
  EXPECT_THAT(change.places[0].why, HasSubstr("a guess"));
}

TEST_F(ConfirmPlacesTest, ADescriptionThatNeverHeldConfirmsNothing) {
  const auto change = Change(kChecksum, {{"261", kWrongSum}}, kWrongSum);
  EXPECT_EQ(change.places[0].fit, PlaceFit::kNotTold);
}

}  // namespace
}  // namespace proofdrive::analysis
