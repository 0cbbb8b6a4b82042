#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "tests/unit/decoders/test_definitions.h"

namespace proofdrive::decoders {
namespace {

using ::testing::ElementsAre;
using ::testing::IsEmpty;

class ComputedTest : public ::testing::Test {
 protected:
  // Values of the computed signals after a frame: "name=number", "name?" when absent.
  std::vector<std::string> Decode(std::uint32_t id, int at_ms, std::vector<std::uint8_t> data) {
    std::vector<Value> values;
    decoder_->Decode(testing::MakeFrame(id, data, std::chrono::milliseconds(at_ms)), values);
    std::vector<std::string> shown;
    for (const Value& value : values) {
      const Signal& signal = definitions_->signals[value.signal];
      if (!signal.frame.empty()) continue;
      std::string text = signal.name;
      if (value.validity == Validity::kAbsent) {
        EXPECT_TRUE(std::isnan(value.number));
        text += "?";
      } else {
        char number[40];
        std::snprintf(number, sizeof(number), "=%g", value.number);
        text += number;
      }
      if (value.validity == Validity::kOutOfRange) text += "!";
      shown.push_back(text);
    }
    return shown;
  }

  std::shared_ptr<const Definitions> definitions_ = testing::Load(R"yaml(
frames:
  volts: {id: 1, every: 100 ms, signals: {v: {where: byte 0, absent: 0xFF}}}
  ohms: {id: 2, every: 1 s, signals: {r: {where: byte 0}}}
  cells:
    id: 3
    every: 20 ms
    page: {where: byte 0}
    series: {c: {first: byte 1, each: 1 byte, per page: 2, count: 4, absent: 0xFF}}
computed:
  per_volt: {formula: r / v, range: 0..50}
  twice: {formula: per_volt * 2}
  spread_of_cells: {formula: max(c) - min(c)}
)yaml");
  std::unique_ptr<Decoder> decoder_ = Decoder::Create(definitions_, {});
};

TEST_F(ComputedTest, WaitsForAllInputsThenFollowsEach) {
  EXPECT_THAT(Decode(1, 0, {10}), IsEmpty());
  EXPECT_THAT(Decode(2, 10, {50}), ElementsAre("per_volt=5", "twice=10"));
  EXPECT_THAT(Decode(1, 100, {25}), ElementsAre("per_volt=2", "twice=4"));
}

TEST_F(ComputedTest, StaleInputsAreNotUsed) {
  Decode(1, 0, {10});
  EXPECT_THAT(Decode(2, 300, {50}), ElementsAre("per_volt=5", "twice=10")) << "just in time";
  EXPECT_THAT(Decode(2, 301, {60}), IsEmpty());
  EXPECT_THAT(Decode(1, 400, {10}), ElementsAre("per_volt=6", "twice=12"));
}

TEST_F(ComputedTest, NoResultIsAbsent) {
  Decode(2, 0, {50});
  EXPECT_THAT(Decode(1, 0, {0xFF}), ElementsAre("per_volt?", "twice?"));
  EXPECT_THAT(Decode(1, 0, {0}), ElementsAre("per_volt?", "twice?")) << "division by zero";
  EXPECT_THAT(Decode(1, 0, {1}), ElementsAre("per_volt=50", "twice=100"));
}

TEST_F(ComputedTest, OutOfItsRangeIsNotUsedFurther) {
  Decode(2, 0, {200});
  EXPECT_THAT(Decode(1, 0, {2}), ElementsAre("per_volt=100!", "twice?"));
}

TEST_F(ComputedTest, SeriesFunctionsWaitForEveryPage) {
  EXPECT_THAT(Decode(3, 0, {0, 10, 11}), IsEmpty());
  EXPECT_THAT(Decode(3, 20, {1, 0xFF, 17}), ElementsAre("spread_of_cells=7"));
  EXPECT_THAT(Decode(3, 40, {0, 12, 13}), ElementsAre("spread_of_cells=5"));
}

}  // namespace
}  // namespace proofdrive::decoders
