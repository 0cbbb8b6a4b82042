#include "decoders/signals/text_value.h"

#include <gtest/gtest.h>

#include <cmath>

#include "decoders/columns/column_decoder.h"
#include "tests/unit/decoders/test_definitions.h"

namespace proofdrive::decoders {
namespace {

const char* kLabel = "frames: {label: {id: 1, signals: {part: {where: bytes 1-6, type: text}}}}\n";

std::vector<std::uint8_t> Bytes(std::string_view text) { return {text.begin(), text.end()}; }

std::optional<std::string> Text(std::string_view payload) {
  const auto bytes = Bytes(payload);
  return TextOf(testing::Load(kLabel)->signals[0], 0, bytes);
}

TEST(TextOf, TakesItsBytesInOrder) { EXPECT_EQ(Text("xBQ-41Cy"), "BQ-41C"); }

TEST(TextOf, LeavesPaddingOut) {
  EXPECT_EQ(Text("xBQ 4  y"), "BQ 4");
  EXPECT_EQ(Text("xBQ4\xFF\xFF\xFFy"), "BQ4");
  EXPECT_EQ(Text(std::string_view("xBQ\0zzzy", 8)), "BQ");
}

TEST(TextOf, MayBeUtf8) { EXPECT_EQ(Text("xgr\xC3\xBCny"), "gr\xC3\xBCny"); }

TEST(TextOf, NothingOrUnreadableIsNoText) {
  EXPECT_EQ(Text("x      y"), std::nullopt);
  EXPECT_EQ(Text(std::string_view("x\0BQ41Cy", 8)), std::nullopt);
  EXPECT_EQ(Text("xBQ\x01"
                 "41y"),
            std::nullopt);
  EXPECT_EQ(Text("xBQ\x80"
                 "41Cy"),
            std::nullopt);
}

TEST(TextOf, TooShortIsNoText) { EXPECT_EQ(Text("xBQ-41"), std::nullopt); }

TEST(TextSignals, ValuesSayWhetherThereIsText) {
  const auto decoder = Decoder::Create(testing::Load(kLabel), {});
  std::vector<Value> values;
  decoder->Decode(testing::MakeFrame(1, Bytes("xBQ-41Cy")), values);
  decoder->Decode(testing::MakeFrame(1, Bytes("x      y")), values);
  decoder->Decode(testing::MakeFrame(1, Bytes("xBQ")), values);
  ASSERT_EQ(values.size(), 2U) << "a frame that is too short gives none";
  EXPECT_EQ(values[0].validity, Validity::kValid);
  EXPECT_EQ(values[1].validity, Validity::kAbsent);
  EXPECT_TRUE(std::isnan(values[0].number));
}

TEST(TextSignals, MayBeAsLongAsAFrame) {
  const auto definitions = testing::Load(
      "frames: {label: {id: 1, length: 64, signals: {part: {where: bytes 0-63, type: text}}}}\n");
  const std::string text(64, 'A');
  EXPECT_EQ(TextOf(definitions->signals[0], 0, Bytes(text)), text);
}

TEST(TextSignals, MayBeElementsOfASeriesInPages) {
  const auto definitions = testing::Load(
      "frames: {parts: {id: 1, page: {where: byte 0}, series: {"
      "part: {first: byte 1, each: 3 bytes, per page: 2, count: 3, type: text}}}}\n");
  const auto decoder = Decoder::Create(definitions, {});
  const std::string page1(
      "\x01"
      "ABC   ",
      7);
  std::vector<Value> values;
  decoder->Decode(testing::MakeFrame(1, {0, 'x', 'y', 'z', ' ', ' ', ' '}), values);
  decoder->Decode(testing::MakeFrame(1, Bytes(page1)), values);
  ASSERT_EQ(values.size(), 3U);
  EXPECT_EQ(values[0].validity, Validity::kValid);
  EXPECT_EQ(values[1].validity, Validity::kAbsent);
  EXPECT_EQ(values[2].element, 2U);
  EXPECT_EQ(TextOf(definitions->signals[0], 2, Bytes(page1)), "ABC");
}

TEST(TextSignals, MayBeReadings) {
  const auto definitions = testing::Load(
      "control units: {pack: {request: 0x7E5, answer: 0x7ED}}\n"
      "readings: {serial: {from: pack, identifier: 0xF18C, where: bytes 0-11, type: text}}\n");
  EXPECT_EQ(TextOf(definitions->signals[0], 0, Bytes("BQ-41C-00017")), "BQ-41C-00017");
}

TEST(TextSignals, AreNoColumns) {
  const std::vector<std::uint8_t> bytes(16, 'A');
  std::vector<double> numbers(2, 7);
  EXPECT_FALSE(ColumnDecoder(testing::Load(kLabel)).Decode(0, 0, {bytes, 8}, numbers));
  EXPECT_EQ(numbers[0], 7);
}

}  // namespace
}  // namespace proofdrive::decoders
